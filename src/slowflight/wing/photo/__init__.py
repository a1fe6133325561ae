"""A rib's outline from one photograph with two printed cards beside it."""
