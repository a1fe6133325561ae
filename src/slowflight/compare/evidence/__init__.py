"""Published cases as data, and how far a computation is from them.

Every case is one file under ``cases/calibrates`` or ``cases/checks``: what was measured, by whom, how it was
read, and under which conditions (`library`). What a tier computes for a case is set beside it by
`comparison`; `record` turns the comparisons into the errors that bands are made of. Nothing is computed
here: runs go through the study room.
"""
