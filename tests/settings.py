"""The settings for the tests and the type checker: those of the program, with a throw-away key and a fast hasher.

It changes nothing else; what a clinic runs under is ``access.settings`` and is tested as such in test_settings.
"""

import os

os.environ["SECRET_KEY"] = "only-for-tests-and-never-for-a-clinic"  # noqa: S105
os.environ["ALLOWED_HOSTS"] = "testserver,localhost,127.0.0.1"
os.environ.pop("ROPELADDER_DEMO", None)

from access.settings import *  # noqa: E402, F403

# Argon2 costs 0.13 s a password by design; no test looks at how hard a password is to guess.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# The live server of the browser tests speaks plain HTTP on the loopback address.
SESSION_COOKIE_SECURE = False
CSRF_COOKIE_SECURE = False
