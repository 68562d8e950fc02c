"""Lengths as whole nanometres, millimetres and inches."""

MM_PER_INCH = 25.4
NM_PER_MM = 1_000_000
