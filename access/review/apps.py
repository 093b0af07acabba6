"""What needs attention, and what a person decided about it."""

from django.apps import AppConfig


class ReviewConfig(AppConfig):
    """Makes the tables of this package known to Django."""

    name = "access.review"
    label = "review"
