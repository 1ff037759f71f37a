"""How well what a square in another yarn is reckoned to change agrees with charts so changed that are brought to rest:
``python -m tests.changed`` solves 200, the suite 80 of them."""
