"""The desk: the whole job in a browser on one's own machine.

It shows saved results and changes wing.toml; everything that computes runs in processes of its own, so that a
page never waits for the solver and a closed browser stops nothing.
"""
