"""What holds for every test: laws are not timed, since a slow or busy machine breaks none of them."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
