"""Who may do what: people, clinics, roles."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Makes the tables of this package known to Django."""

    name = "access.accounts"
    label = "accounts"
