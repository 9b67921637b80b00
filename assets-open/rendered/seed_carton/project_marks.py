#!/usr/bin/env python3
"""Prints where the corners of the carton lie in the photo, for scenes/seed_carton.toml.

Photo px from the outer corner of the top left pixel. The numbers repeat those of seed_carton.pov.
"""
import math

WIDTH, HEIGHT, FOCAL_PX = 1350, 1800, 3900
PITCH, TARGET, DISTANCE = math.radians(19), (-2, 82, 0), 640
TURN = math.radians(33)
SIZE = (120, 170, 60)


def seen(x, y, z):
    ahead = (0, -math.sin(PITCH), math.cos(PITCH))
    up = (0, math.cos(PITCH), math.sin(PITCH))
    at = [p - (t - DISTANCE * a) for p, t, a in zip((x, y, z), TARGET, ahead)]
    depth = sum(a * b for a, b in zip(at, ahead))
    rise = sum(a * b for a, b in zip(at, up))
    return WIDTH / 2 + FOCAL_PX * at[0] / depth, HEIGHT / 2 - FOCAL_PX * rise / depth


def main():
    for depth, z in (("front", -SIZE[2] / 2), ("back", SIZE[2] / 2)):
        for rise, y in (("top", SIZE[1]), ("bottom", 0)):
            for side, x in (("left", -SIZE[0] / 2), ("right", SIZE[0] / 2)):
                name = f"{depth}_{rise}_{side}"
                if name == "back_bottom_left":  # hidden behind the carton
                    continue
                turned = (x * math.cos(TURN) + z * math.sin(TURN), y, -x * math.sin(TURN) + z * math.cos(TURN))
                print(f"{name} = [%.2f, %.2f]" % seen(*turned))


if __name__ == "__main__":
    main()
