"""What the designer wrote (chart, yarns, gauge, float rules) and what follows from it by counting."""
