"""The aircraft in slow flight, from ready wing curves: what stops it first, and is there control left.

Everything here takes a `curve.WingCurve` and what the owner measured, and costs milliseconds. Nothing the
owner did not measure is guessed: a function that lacks an input is not called, and ``asked`` says what to
measure.
"""
