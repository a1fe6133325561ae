"""Tufts of yarn on the wing: where they go, what a camera saw of them, where the air let go."""
