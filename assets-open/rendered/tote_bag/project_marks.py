#!/usr/bin/env python3
"""Prints where points of the tote bag lie in the photo, for scenes/tote_bag.toml: name = [photo_x, photo_y, x, y, z].

Photo px from the outer corner of the top left pixel; x, y, z as in ../../meshes/tote.obj. The numbers repeat those of
tote_bag.pov. Each pin is a vertex of the front panel: the one whose uv lies nearest to the place named here.
"""
import math
import os

WIDTH, HEIGHT, FOCAL_PX = 1200, 1600, 2773
PITCH, TARGET, DISTANCE = math.radians(4), (10, 352, 0), 1390
YAW = math.radians(11)
ATLAS_MM, PANEL_LEFT, PANEL_TOP = 1200, 410, 390
PLACES = {  # mm right and down from the panel's top left corner
    "mouth_left": (0, 0), "mouth_middle": (190, 0), "mouth_right": (380, 0),
    "hem_left": (75, 31), "hem_right": (305, 31), "belly": (190, 260),
    "side_left": (0, 230), "side_right": (380, 230),
    "foot_left": (0, 420), "foot_middle": (190, 420), "foot_right": (380, 420),
}


def seen(x, y, z):
    ahead = (0, -math.sin(PITCH), math.cos(PITCH))
    up = (0, math.cos(PITCH), math.sin(PITCH))
    at = [p - (t - DISTANCE * a) for p, t, a in zip((x, y, z), TARGET, ahead)]
    depth = sum(a * b for a, b in zip(at, ahead))
    rise = sum(a * b for a, b in zip(at, up))
    return WIDTH / 2 + FOCAL_PX * at[0] / depth, HEIGHT / 2 - FOCAL_PX * rise / depth


def front_vertices():
    """(x, y, z), mm right, mm down of each corner of the group `front`."""
    mesh = os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../meshes/tote.obj")
    points, uvs, group, found = [], [], "", []
    for line in open(mesh):
        word, *rest = line.split() or [""]
        if word == "v":
            points.append(tuple(map(float, rest[:3])))
        elif word == "vt":
            uvs.append(tuple(map(float, rest[:2])))
        elif word == "g":
            group = rest[0]
        elif word == "f" and group == "front":
            for corner in rest:
                point, uv = (int(n) - 1 for n in corner.split("/")[:2])
                found.append((points[point], uvs[uv][0] * ATLAS_MM - PANEL_LEFT, (1 - uvs[uv][1]) * ATLAS_MM - PANEL_TOP))
    return found


def main():
    vertices = front_vertices()
    for name, (right, down) in PLACES.items():
        (x, y, z), _, _ = min(vertices, key=lambda v: math.hypot(v[1] - right, v[2] - down))
        turned = (x * math.cos(YAW) - z * math.sin(YAW), y, -x * math.sin(YAW) - z * math.cos(YAW))
        print(f"{name} = [%.2f, %.2f, {x:g}, {y:g}, {z:g}]" % seen(*turned))


if __name__ == "__main__":
    main()
