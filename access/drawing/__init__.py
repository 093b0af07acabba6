"""Pictures of an access as SVG: maps with cm along the vessel, and charts over time.

One source for page, document and print. It computes nothing clinical and knows nothing of Django:
what is drawn, which limits and which words, comes from the caller.
"""
