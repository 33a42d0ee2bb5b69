"""From evidence to belief: how likely each cause is, what to find out next, how firm the order
is.
"""
