"""Settings shared by every test."""

from hypothesis import settings

# The first call of a compiled function is slow and says nothing about the code under test.
settings.register_profile("slowflight", deadline=None)
settings.load_profile("slowflight")
