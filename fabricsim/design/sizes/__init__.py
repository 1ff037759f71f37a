"""Counts that fit rib, chart, crown and body."""
