"""The vocabularies that the described API names, so that its enums keep plain names.

The settings point here by path; the words themselves stand in ``access.measures.words``.
"""

from typing import get_args

from access.measures import words
from access.review.models import DECISIONS

KIND = get_args(words.Kind)
SIDE = get_args(words.Side)
ACCESS_STATUS = get_args(words.AccessStatus)
ROUTE = get_args(words.Route)
NEEDLE_ROLE = get_args(words.NeedleRole)
DIRECTION = get_args(words.Direction)
TECHNIQUE = get_args(words.Technique)
NEEDLE_OUTCOME = get_args(words.Outcome)
UREA_UNIT = get_args(words.UreaUnit)
EVENT_WHAT = get_args(words.EventWhat)
LAB_WHAT = ("hematocrit", "urea")
URGENCY = get_args(words.Urgency)
DECISION_OUTCOME = DECISIONS
