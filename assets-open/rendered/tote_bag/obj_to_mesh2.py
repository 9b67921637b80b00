#!/usr/bin/env python3
"""Turns an OBJ with uv into a mesh2 of POV-Ray named Bag: x, y kept, z reversed; smooth normals within a group.

usage: obj_to_mesh2.py IN.obj OUT.inc
"""
import math
import sys


def main():
    points, uvs, faces, group = [], [], [], ""
    for line in open(sys.argv[1]):
        word, *rest = line.split() or [""]
        if word == "v":
            x, y, z = map(float, rest[:3])
            points.append((x, y, -z))
        elif word == "vt":
            uvs.append(tuple(map(float, rest[:2])))
        elif word == "g":
            group = rest[0]
        elif word == "f":
            corners = [[int(n) - 1 for n in corner.split("/")[:2]] for corner in rest]
            for i in range(1, len(corners) - 1):
                faces.append((group, (corners[0], corners[i], corners[i + 1])))
    normals, index = {}, {}
    for name, face in faces:
        a, b, c = (points[corner[0]] for corner in face)
        u = [q - p for p, q in zip(a, b)]
        v = [q - p for p, q in zip(a, c)]
        n = (u[2] * v[1] - u[1] * v[2], u[0] * v[2] - u[2] * v[0], u[1] * v[0] - u[0] * v[1])
        for corner in face:
            key = (name, corner[0])
            old = normals.get(key, (0, 0, 0))
            normals[key] = tuple(p + q for p, q in zip(old, n))
    out, rows = [], []
    for name, face in faces:
        row = []
        for corner in face:
            key = (name, corner[0], corner[1])
            if key not in index:
                index[key] = len(index)
            row.append(index[key])
        rows.append(row)
    out.append("#declare Bag = mesh2 {\nvertex_vectors { %d" % len(index))
    out += [", <%.3f, %.3f, %.3f>" % points[p] for _, p, _ in index]
    out.append("}\nnormal_vectors { %d" % len(index))
    for name, p, _ in index:
        n = normals[(name, p)]
        size = math.sqrt(sum(c * c for c in n)) or 1
        out.append(", <%.4f, %.4f, %.4f>" % tuple(c / size for c in n))
    out.append("}\nuv_vectors { %d" % len(index))
    out += [", <%.6f, %.6f>" % uvs[t] for _, _, t in index]
    out.append("}\nface_indices { %d" % len(rows))
    out += [", <%d, %d, %d>" % tuple(row) for row in rows]
    out.append("}\nuv_mapping\ntexture { Canvas }\n}")
    open(sys.argv[2], "w").write("\n".join(out) + "\n")


if __name__ == "__main__":
    main()
