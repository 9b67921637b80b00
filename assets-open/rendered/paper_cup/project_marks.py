#!/usr/bin/env python3
"""Prints where the rims of the paper cup lie in the photo, for scenes/paper_cup.toml.

Photo px from the outer corner of the top left pixel. The numbers repeat those of paper_cup.pov.
"""
import math

WIDTH, HEIGHT, FOCAL_PX = 1800, 1350, 3640
PITCH, TARGET, DISTANCE = math.radians(15), (13, 48.5, 0), 420
RIMS = {"rim_top": (40, 95), "rim_bottom": (28, 0)}  # radius, height above the table


def seen(x, y, z):
    ahead = (0, -math.sin(PITCH), math.cos(PITCH))
    up = (0, math.cos(PITCH), math.sin(PITCH))
    at = [p - (t - DISTANCE * a) for p, t, a in zip((x, y, z), TARGET, ahead)]
    depth = sum(a * b for a, b in zip(at, ahead))
    rise = sum(a * b for a, b in zip(at, up))
    return WIDTH / 2 + FOCAL_PX * at[0] / depth, HEIGHT / 2 - FOCAL_PX * rise / depth


def most(measure, low, high):
    """The angle between low and high at which `measure` is greatest (golden section)."""
    ratio = (math.sqrt(5) - 1) / 2
    while high - low > 1e-10:
        a, b = high - ratio * (high - low), low + ratio * (high - low)
        if measure(a) > measure(b):
            high = b
        else:
            low = a
    return (low + high) / 2


def main():
    for name, (radius, height) in RIMS.items():
        def point(angle):  # 0 towards the camera, positive to the right
            return seen(radius * math.sin(angle), height, -radius * math.cos(angle))
        left = most(lambda a: -point(a)[0], -math.pi, 0)
        near = most(lambda a: point(a)[1], -1.5, 1.5)
        right = most(lambda a: point(a)[0], 0, math.pi)
        print(f"{name} = [" + ", ".join("[%.2f, %.2f]" % point(a) for a in (left, near, right)) + "]")


if __name__ == "__main__":
    main()
