"""Simulated cohorts whose truth is known, and what a rule is worth on them: false flags, delay, honesty of its doubt.

In simulation, no patient data. How narrowings grow is assumed, since no source for it was found: the order of rules
found here is worth more than any delay in days. It knows no rule of the program; one that flags is plugged in.
"""
