"""Solids to print: vanes, a placement jig, a coupon."""
