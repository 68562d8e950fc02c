"""A layer corrected as its rule set asks, and the proof that it came out right."""
