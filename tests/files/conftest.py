from hypothesis import settings

# A busy machine is no failure: no test here is timed.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
