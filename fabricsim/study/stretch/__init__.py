"""How far fabric stretches."""
