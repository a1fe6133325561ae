"""Stalls found in a log, how each ended, and what each says at 1 g and reference mass."""
