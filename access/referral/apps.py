"""What is sent on to the nephrologist, and what came of it."""

from django.apps import AppConfig


class ReferralConfig(AppConfig):
    """Makes the tables of this package known to Django."""

    name = "access.referral"
    label = "referral"
