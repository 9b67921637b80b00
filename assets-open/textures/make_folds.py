#!/usr/bin/env python3
"""Draws cloth_folds.png: heights of a cloth that was pushed together a little. Repeats; 16 bits, white is the highest.

Invented for the demo: folds are ridges along bent lines, no cloth was measured. Writes cloth_folds.pgm; then
`convert cloth_folds.pgm -depth 16 cloth_folds.png`.
"""
import array
import math
import random

SIDE = 128
TAU = 2 * math.pi
random.seed(8)
# Whole numbers of waves, so that a tile's edges meet; the ridges are bent by slower waves.
bends = [(kx, ky, random.gauss(0, 1) / (kx * kx + ky * ky), random.uniform(0, TAU))
         for kx, ky in [(1, 0), (0, 1), (1, 1), (2, -1), (1, 2)]]
ridges = [(kx, ky, size, sharp, random.uniform(0, TAU))
          for kx, ky, size, sharp in [(1, 2, 1.0, 4), (2, 1, 0.4, 4), (3, 4, 0.1, 2), (-1, 3, 0.2, 3)]]


def height(x, y):
    bend = sum(size * math.sin(TAU * (kx * x + ky * y) + start) for kx, ky, size, start in bends)
    sum_of_ridges = sum(size * (0.5 + 0.5 * math.cos(TAU * (kx * x + ky * y) + 1.6 * bend + start)) ** sharp
                        for kx, ky, size, sharp, start in ridges)
    # A fold runs out along its length.
    return sum_of_ridges * (0.5 + 0.5 * math.sin(TAU * (2 * x - y) + 1.2 * bend + 0.7) ** 2)


heights = [height(i / SIDE, j / SIDE) for j in range(SIDE) for i in range(SIDE)]
low, high = min(heights), max(heights)
codes = array.array("H", (round((h - low) / (high - low) * 65535) for h in heights))
codes.byteswap()
with open("cloth_folds.pgm", "wb") as file:
    file.write(b"P5 %d %d 65535\n" % (SIDE, SIDE) + codes.tobytes())
