"""What the rules are worth: over simulated accesses whose truth is known, and over a clinic's own past.

In simulation, no patient data; how narrowings grow is assumed. It changes no record and raises no flag: it prints, and
draws figures. The command is ``evaluate``.
"""
