"""What follows from the chart by counting: rounds, yarn, difficulty."""
