"""Settings of the property tests: speed is never what they judge."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
