"""What to do, in the order a keeper should do it, and never two things that contradict each
other.
"""
