#!/usr/bin/env python3
"""Makes tote.obj and carton.obj: a cotton tote bag and a closed folding carton, in mm, y up, z to the viewer.

Deterministic, standard library only. Each mesh has one square texture atlas in which a mm is the same
length everywhere; the middle of the front panel is the middle of the atlas, so that artwork goes there
where a placement names no other point. usage: make_meshes.py [FOLDER]
"""
import math
import os
import sys


class Mesh:
    def __init__(self, atlas_mm):
        self.atlas_mm = atlas_mm
        self.points, self.uvs, self.faces, self.parts = [], [], [], []
        self.point_index = {}

    def point(self, p):
        key = tuple(round(c, 3) + 0.0 for c in p)
        if key not in self.point_index:
            self.point_index[key] = len(self.points)
            self.points.append(key)
        return self.point_index[key]

    def uv(self, mm):
        """mm right and down from the atlas's top left corner."""
        self.uvs.append((mm[0] / self.atlas_mm, 1 - mm[1] / self.atlas_mm))
        return len(self.uvs) - 1

    def grid(self, name, rows):
        """rows of (point, atlas mm), top to bottom and left to right as seen from outside."""
        self.parts.append((len(self.faces), name))
        made = [[(self.point(p), self.uv(mm)) for p, mm in row] for row in rows]
        for above, below in zip(made, made[1:]):
            for i in range(len(above) - 1):
                a, b, c, d = above[i], below[i], below[i + 1], above[i + 1]
                for face in ((a, b, c), (a, c, d)):
                    if len({corner[0] for corner in face}) == 3:
                        self.faces.append(face)

    def write(self, path, title):
        with open(path, "w", newline="\n") as out:
            out.write(f"# {title}: mm, y up, z to the viewer; the uv square is {self.atlas_mm} mm wide\n")
            out.write("# made by make_meshes.py; CC0-1.0, see README.md\n")
            for p in self.points:
                out.write("v {:g} {:g} {:g}\n".format(*(round(c, 3) for c in p)))
            for uv in self.uvs:
                out.write("vt {:.6f} {:.6f}\n".format(*uv))
            parts = dict(self.parts)
            for i, face in enumerate(self.faces):
                if i in parts:
                    out.write(f"g {parts[i]}\n")
                out.write("f " + " ".join(f"{v + 1}/{t + 1}" for v, t in face) + "\n")


def smooth(low, high, x):
    t = min(max((x - low) / (high - low), 0.0), 1.0)
    return t * t * (3 - 2 * t)


def bell(x, width):
    return math.exp(-((x / width) ** 2))


# --- the bag ---------------------------------------------------------------------------------------------

PANEL_WIDE, PANEL_HIGH = 380.0, 420.0
HEM_HIGH = 30.0
HANDLE_X = 78.0      # centre of a handle's end from the panel's middle
HANDLE_WIDE, HANDLE_THICK = 25.0, 1.8
HANDLE_RISE = 255.0  # of its top above the panel
SEWN = 34.0          # length of a handle's end that is sewn on


def belly_at(t):
    """How far the middle of a panel stands out, mm; t 0 at the mouth, 1 at the bottom seam."""
    return (9 + 27 * smooth(0.0, 0.72, t)) * smooth(0, 0.2, 1 - t)


def fallen(down, steps=400, table=[0.0]):
    """How far below the mouth cloth hangs that lies `down` mm from it: the belly takes the rest."""
    if len(table) == 1:
        step = PANEL_HIGH / steps
        for i in range(steps):
            slope = 0.62 * (belly_at((i + 1) / steps) - belly_at(i / steps)) / step
            table.append(table[-1] + step * math.sqrt(1 - slope * slope) * 0.996)
    at = min(down / PANEL_HIGH * steps, steps - 1e-9)
    i = int(at)
    return table[i] + (at - i) * (table[i + 1] - table[i])


def panel(s, down, side):
    """A point of the front (side 1) or back (side -1): s -1 to 1 across, `down` mm below the mouth."""
    t = down / PANEL_HIGH
    belly = belly_at(t)
    lens = max(0.0, 1 - s * s) ** 0.85
    z = belly * lens
    inner = lens * smooth(0, 0.12, 1 - t)  # folds die out at the seams
    phase = 0.0 if side > 0 else 1.3
    # Cloth hangs from the handles: two soft ridges below their ends, a shallow trough between them.
    for end in (-1, 1):
        away = s - end * (HANDLE_X / 190 + 0.13 * t * (1 + 0.25 * end))
        z += 4.2 * bell(away, 0.075 + 0.16 * t) * math.exp(-2.6 * t) * inner
    z -= 3.4 * bell(s, 0.28) * math.exp(-3.2 * t) * inner
    # Slack folds that drift sideways as they fall.
    z += 1.5 * math.sin(9.2 * s + 2.4 * t + 0.7 + phase) * smooth(0.08, 0.5, t) * inner
    z += 0.8 * math.sin(15.5 * s - 3.6 * t + 2.1 + phase) * smooth(0.2, 0.8, t) * inner
    # Creases from the lower corners up towards the belly, and a lazy one across.
    for corner in (-1, 1):
        along = (1 - t) * PANEL_HIGH
        across = (1 - corner * s) * 190
        off = across * 0.77 - along * 0.64
        z -= 2.6 * bell(off, 15) * bell(math.hypot(across, along) - 70, 55) * smooth(6, 40, across)
    z += 1.2 * math.sin(7.5 * t + 1.8 * s * s + 0.9 * s + phase) * smooth(0.25, 0.6, t) * inner
    # The hem is two layers more; a row of stitches draws it in.
    z += (0.9 * (1 - smooth(HEM_HIGH - 0.5, HEM_HIGH + 2.0, down)) - 0.6 * bell(down - HEM_HIGH + 2.5, 1.6)) * min(1, 2 * lens)
    # The mouth dips where no handle lifts it, the bottom hangs lowest in its middle.
    droop = (7.5 * smooth(0.35, 1.0, abs(s)) + 3.0 * bell(s, 0.26)) * (1 - smooth(0, 0.75, t))
    y = PANEL_HIGH - fallen(down) - droop - 3.0 * (1 - s * s) * smooth(0.6, 1, t)
    half = 190 - 4.2 * (belly / 36) ** 2 - 2.2 * math.sin(math.pi * t) - 1.4 * math.sin(5 * t + s) * smooth(0.1, 0.4, t)
    x = s * half
    return (x * side, y, z * side)


def spread(count):
    return [2 * i / count - 1 for i in range(count + 1)]


def panel_rows(count):
    """Distances below the mouth: close at the hem, even below."""
    rows = [0, 1, 4, 10, 18, 24, 26, 27.5, 29, 31, 33, 36]
    step = (PANEL_HIGH - 36) / count
    return rows + [36 + step * (i + 1) for i in range(count)]


def unit(v):
    length = math.sqrt(sum(c * c for c in v))
    return tuple(c / length for c in v)


def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def handle_line(side):
    """Centre line of a handle, from its right sewn end over the top to its left."""
    line = []
    s_end = HANDLE_X / 190

    def on_panel(s, down):
        p = panel(s * side, down, side)
        return (p[0], p[1], p[2] + side * 1.6)

    foot = on_panel(s_end, 0)
    for i in range(9):
        line.append(on_panel(s_end, SEWN * (1 - i / 8)))
    count = 70
    for i in range(1, count):
        a = math.pi * i / count
        c, q = math.cos(a), math.sin(a)
        lean = 3.0 * q * q * side  # the two handles do not fall alike
        x = foot[0] * math.copysign(abs(c) ** 1.15, c) + lean
        y = foot[1] + HANDLE_RISE * q ** 0.92
        rise = q ** 1.2
        z = foot[2] + (side * 13.4 - foot[2]) * rise
        line.append((x, y, z))
    for i in range(9):
        line.append(on_panel(-s_end, SEWN * i / 8))
    return line


def resample(line, step):
    lengths = [0.0]
    for a, b in zip(line, line[1:]):
        lengths.append(lengths[-1] + math.dist(a, b))
    count = max(2, round(lengths[-1] / step))
    out, at = [], 0
    for i in range(count + 1):
        want = lengths[-1] * i / count
        while at < len(line) - 2 and lengths[at + 1] < want:
            at += 1
        t = (want - lengths[at]) / (lengths[at + 1] - lengths[at])
        out.append(tuple(a + t * (b - a) for a, b in zip(line[at], line[at + 1])))
    return out, lengths[-1]


def add_handle(mesh, side, name, atlas_x, atlas_y):
    line, length = resample(handle_line(side), 5.0)
    for _ in range(6):  # rounds the corner where the sewn end leaves the panel
        line = [line[0]] + [tuple((a + 2 * b + c) / 4 for a, b, c in zip(p, q, r))
                            for p, q, r in zip(line, line[1:], line[2:])] + [line[-1]]
    half, thick = HANDLE_WIDE / 2, HANDLE_THICK / 2
    # Round the band: its outer face, an edge, the inner face, an edge; the edges' corners are broken.
    outline = [(-half, thick * 0.4), (-half + 0.7, thick), (0, thick * 1.15), (half - 0.7, thick), (half, thick * 0.4),
               (half, -thick * 0.4), (half - 0.7, -thick), (0, -thick), (-half + 0.7, -thick), (-half, -thick * 0.4),
               (-half, thick * 0.4)]
    around = [0.0]
    for a, b in zip(outline, outline[1:]):
        around.append(around[-1] + math.dist(a, b))
    rows = []
    for i, p in enumerate(line):
        before, after = line[max(0, i - 1)], line[min(len(line) - 1, i + 1)]
        along = unit(tuple(b - a for a, b in zip(before, after)))
        out = unit(cross(cross(along, (0, 0, side)), along))  # towards the viewer of this side
        wide = cross(along, out)
        done = length * i / (len(line) - 1)
        # The band lies flat where it is sewn on, and turns so that its face lies on what it hangs from.
        rest = min(done, length - done)
        twist = -side * math.pi / 2 * smooth(SEWN + 18, length / 2 - 45, rest)
        c, q = math.cos(twist), math.sin(twist)
        w = tuple(c * a + q * b for a, b in zip(wide, out))
        o = tuple(-q * a + c * b for a, b in zip(wide, out))
        row = []
        for (a, b), r in zip(outline, around):
            row.append((tuple(p[k] + a * w[k] + b * o[k] for k in range(3)), (atlas_x + r, atlas_y + done)))
        rows.append(row)
    return rows


def make_tote(path):
    mesh = Mesh(1200)
    left, top = 600 - PANEL_WIDE / 2, 600 - PANEL_HIGH / 2
    for side, name, x0, columns, count in ((1, "front", left, 76, 46), (-1, "back", left + PANEL_WIDE + 15, 76, 30)):
        rows = []
        for down in panel_rows(count):
            rows.append([(panel(s, down, side), (x0 + (s + 1) * 190, top + down)) for s in spread(columns)])
        mesh.grid(name, rows)
        # Inside of the hem, seen through the mouth: from its lower edge up to the rim.
        inside = []
        for down in (32, 24, 12, 3, 0):
            row = []
            for s in reversed(spread(columns)):
                p = panel(s, down, side)
                back = 0 if down == 0 else min(1.6, 0.45 * abs(p[2]))
                row.append(((p[0], p[1], p[2] - side * back), (x0 + (s + 1) * 190, top - 20 - down)))
            inside.append(row)
        inside.reverse()
        mesh.grid(name + "_hem_inside", inside)
    for side, name, x0 in ((1, "handle_front", 60), (-1, "handle_back", 200)):
        mesh.grid(name, add_handle(mesh, side, name, x0, 250))
    mesh.write(path, "cotton tote bag, 380 x 420 mm panel")


# --- the carton ------------------------------------------------------------------------------------------

BOX_WIDE, BOX_HIGH, BOX_DEEP = 120.0, 160.0, 45.0
EDGE, CARD, GAP = 0.6, 0.4, 0.45


def wall_line(inset):
    """The walls' outline from the middle of the back, counter-clockwise seen from above: (x, z, developed mm)."""
    half_x, half_z, r = BOX_WIDE / 2 - inset, BOX_DEEP / 2 - inset, EDGE - inset
    line = []

    def straight(a, b, count):
        for i in range(count):
            line.append((a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count))

    def corner(cx, cz, start):
        for i in range(4):
            a = start + math.pi / 2 * i / 4
            line.append((cx + r * math.cos(a), cz + r * math.sin(a)))

    x, z = half_x - r, half_z - r
    # Left, front, right, back, as the wrap reads from left to right; begins at the back's left edge.
    straight((-half_x, -z), (-half_x, z), 6)
    corner_points = [(-x, z, math.pi), (x, z, math.pi / 2), (x, -z, 0.0), (-x, -z, -math.pi / 2)]
    ends = [((-x, half_z), (x, half_z), 14), ((half_x, z), (half_x, -z), 6), ((x, -half_z), (-x, -half_z), 14)]
    for (cx, cz, start), (a, b, count) in zip(corner_points, ends):
        for i in range(4):
            t = start - math.pi / 2 * i / 4
            line.append((cx + r * math.cos(t), cz + r * math.sin(t)))
        straight(a, b, count)
    cx, cz, start = corner_points[3]
    for i in range(5):
        t = start - math.pi / 2 * i / 4
        line.append((cx + r * math.cos(t), cz + r * math.sin(t)))
    return line


def developed(line):
    out = [0.0]
    for a, b in zip(line, line[1:]):
        out.append(out[-1] + math.dist(a, b))
    return out


def make_carton(path):
    mesh = Mesh(480)
    line = wall_line(0)
    along = developed(line)
    # The middle of the front in the middle of the atlas.
    middle = BOX_DEEP + BOX_WIDE / 2
    first = next(i for i, p in enumerate(line) if abs(p[1] - BOX_DEEP / 2) < 1e-9)
    last = max(i for i, p in enumerate(line) if abs(p[1] - BOX_DEEP / 2) < 1e-9)
    shift = 240 - (along[first] + along[last]) / 2
    top = 240 - BOX_HIGH / 2
    heights = [BOX_HIGH - 0.0] + [BOX_HIGH * i / 16 for i in range(15, 0, -1)] + [EDGE]

    def bowed(p, y):
        """Card under light pressure from within: the large panels swell by a little over half a mm."""
        x, z = p
        lift = math.sin(math.pi * min(max(y / BOX_HIGH, 0), 1)) ** 2
        if abs(abs(z) - BOX_DEEP / 2) < 1e-9:
            z += math.copysign(0.7 * lift * math.cos(math.pi * x / BOX_WIDE) ** 2, z)
        return (x, y, z)

    rows = [[(bowed(p, y), (a + shift, top + BOX_HIGH - y)) for p, a in zip(line, along)] for y in heights]
    for i in range(1, 3):  # round the bottom edge, as far as the corners allow
        t = math.pi / 2 * i / 4
        inset = EDGE * (1 - math.cos(t))
        ring = wall_line(inset)
        y = EDGE - EDGE * math.sin(t)
        rows.append([((p[0], y, p[1]), (a + shift, top + BOX_HIGH - EDGE + EDGE * t)) for p, a in zip(ring, along)])
    mesh.grid("walls", rows)
    # The card's raw edge along the top and its inside down to below the lid.
    inner = wall_line(CARD)
    edge_rows = []
    for k, (ring, y, at) in enumerate(((inner, BOX_HIGH - 6, 0.0), (inner, BOX_HIGH, 6.0), (line, BOX_HIGH, 6.4))):
        edge_rows.append([((p[0], y, p[1]), (a + shift, 60 + at)) for p, a in zip(ring, along)])
    mesh.grid("raw_edge", edge_rows)
    # Bottom: the rest of the round edge and a fan, as seen from below.
    t = math.pi / 4
    ring = wall_line(EDGE * (1 - math.cos(t)))
    y = EDGE - EDGE * math.sin(t)
    flat = wall_line(EDGE * 0.8)

    def below(p, y):
        return ((p[0], y, p[1]), (240 + p[0], top + BOX_HIGH + 30 + BOX_DEEP / 2 - p[1]))

    mesh.grid("bottom", [[below(p, y) for p in ring], [below(p, 0) for p in flat],
                         [below((p[0] * 0.5, p[1] * 0.5), 0) for p in flat]])
    mesh.parts.append((len(mesh.faces), "bottom_middle"))
    middle_point = below((0, 0), 0)
    hub = (mesh.point(middle_point[0]), mesh.uv(middle_point[1]))
    fan = [below((p[0] * 0.5, p[1] * 0.5), 0) for p in flat]
    fan = [(mesh.point(p), mesh.uv(mm)) for p, mm in fan]
    for a, b in zip(fan, fan[1:]):
        if a[0] != b[0]:
            mesh.faces.append((a, hub, b))
    # The lid: hinged on the back, folded down into the front; a little narrower than the box.
    half_x = BOX_WIDE / 2 - CARD - GAP
    back, front = -BOX_DEEP / 2, BOX_DEEP / 2 - CARD - GAP
    profile = [(back, BOX_HIGH)]
    level, r = BOX_HIGH + 0.3, 0.7  # the lid lies a little above the walls, its fold comes down between them
    for i in range(1, 5):
        a = math.pi / 2 * i / 4
        profile.append((back + r * (1 - math.cos(a)), BOX_HIGH + 0.3 * math.sin(a)))
    for i in range(1, 8):
        z = back + r + (front - back - 2 * r) * i / 7
        profile.append((z, level + 0.35 * math.sin(math.pi * i / 7)))
    for i in range(1, 5):
        a = math.pi / 2 * i / 4
        profile.append((front - r + r * math.sin(a), level - r + r * math.cos(a)))
    profile += [(front - 0.1, BOX_HIGH - 4), (front - 0.3, BOX_HIGH - 12)]
    lengths = developed(profile)
    rows = []
    for (z, y), done in zip(profile, lengths):
        # The tuck's corners are cut away.
        narrow = 0 if y > BOX_HIGH - 1 else 1.5 + 0.3 * (BOX_HIGH - y)
        rows.append([((x * (half_x - narrow) / half_x, y, z), (240 + x * (half_x - narrow) / half_x, top - 80 + done))
                     for x in [half_x * (2 * i / 12 - 1) for i in range(13)]])
    mesh.grid("lid", rows)
    # Cut edges of the lid at both sides.
    for side, name in ((-1, "lid_edge_left"), (1, "lid_edge_right")):
        rows = []
        for (z, y), done in zip(profile[:-2], lengths):
            upper = ((side * half_x, y, z), (240 + side * 70, top - 80 + done))
            lower = ((side * half_x, y - CARD, z), (240 + side * (70 + CARD), top - 80 + done))
            rows.append([upper, lower] if side > 0 else [lower, upper])
        mesh.grid(name, rows)
    mesh.write(path, "closed folding carton, 120 x 160 x 45 mm")


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else os.path.dirname(os.path.abspath(__file__))
    make_tote(os.path.join(folder, "tote.obj"))
    make_carton(os.path.join(folder, "carton.obj"))


if __name__ == "__main__":
    main()
