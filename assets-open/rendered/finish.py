#!/usr/bin/env python3
"""Puts the passes of a stage together as a camera would: depth of field, lens, grain, sRGB.

usage: finish.py PLATE OBJECT DEPTH OUT.jpg --focus MM [--blur PX] [--seed N]

The passes are 16-bit linear PNG. The object stays sharp; everything else is blurred by a disc of radius
blur * |1 - focus / Z| px, less a dead zone. No tone curve: values stay proportional to light up to white.
Needs numpy, scipy, and ImageMagick's `convert`.
"""
import argparse
import subprocess

import numpy as np
from scipy.ndimage import gaussian_filter
from scipy.signal import fftconvolve


def read(path, channels):
    size = subprocess.run(["identify", "-format", "%w %h", path], capture_output=True, check=True, text=True)
    width, height = (int(n) for n in size.stdout.split())
    kind = {1: "gray", 3: "rgb", 4: "rgba"}[channels]
    raw = subprocess.run(["convert", path, "-set", "colorspace", "sRGB", "-depth", "16", "-endian", "LSB", kind + ":-"],
                         capture_output=True, check=True).stdout
    return np.frombuffer(raw, "<u2").reshape(height, width, channels).astype(np.float64) / 65535


def disc(radius):
    reach = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-reach:reach + 1, -reach:reach + 1]
    kernel = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1)
    return kernel / kernel.sum()


def blurred(picture, radius):
    if radius < 0.3:
        return picture
    reach = int(np.ceil(radius)) + 1
    wide = np.pad(picture, ((reach, reach), (reach, reach), (0, 0)), mode="edge")
    kernel = disc(radius)
    return np.stack([fftconvolve(wide[..., c], kernel, mode="valid") for c in range(picture.shape[2])], axis=-1)


def depth_of_field(plate, depth, focus, blur, scale):
    radius = np.maximum(blur * scale * np.abs(1 - focus / depth) - 0.6 * scale, 0)
    radius = gaussian_filter(radius, 3 * scale)
    steps = np.array([0, 1, 2, 3.5, 5.5, 8, 11.5, 16, 22, 30, 40, 54]) * max(scale, 0.3)
    steps = steps[: np.searchsorted(steps, radius.max()) + 1]
    result = np.zeros_like(plate)
    for i, step in enumerate(steps):
        weight = np.zeros_like(radius)
        if i > 0:
            weight = np.where(radius <= step, np.clip((radius - steps[i - 1]) / (step - steps[i - 1]), 0, 1), 0)
        if i + 1 < len(steps):
            weight = np.where(radius > step, np.clip((steps[i + 1] - radius) / (steps[i + 1] - step), 0, 1), weight)
        if i == 0:
            weight = np.clip(1 - radius / steps[1], 0, 1) if len(steps) > 1 else np.ones_like(radius)
        if i == len(steps) - 1 and i > 0:
            weight = np.where(radius > step, 1, weight)
        if weight.max() > 0:
            result += weight[..., None] * blurred(plate, step)
    return result


def encode(linear):
    linear = np.clip(linear, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def main():
    args = argparse.ArgumentParser()
    for name in ("plate", "object", "depth", "out"):
        args.add_argument(name)
    args.add_argument("--focus", type=float, required=True)
    args.add_argument("--blur", type=float, default=60)
    args.add_argument("--exposure", type=float, default=1)
    args.add_argument("--seed", type=int, default=1)
    args = args.parse_args()

    plate, thing, depth = read(args.plate, 3), read(args.object, 4), read(args.depth, 1)[..., 0] * 4000
    height, width = depth.shape
    scale = max(width, height) / 1800
    picture = depth_of_field(plate, np.maximum(depth, 1), args.focus, args.blur, scale)
    alpha = thing[..., 3:]
    picture = (picture * (1 - alpha) + thing[..., :3] * alpha) * args.exposure

    y, x = np.mgrid[0:height, 0:width]
    corner = ((x + 0.5 - width / 2) ** 2 + (y + 0.5 - height / 2) ** 2) / (width ** 2 + height ** 2) * 4
    picture = picture * (1 - 0.10 * corner)[..., None]
    picture = np.stack([gaussian_filter(picture[..., c], 0.55 * scale) for c in range(3)], axis=-1)

    # Photon noise grows with the root of the light; a little of it is shared by the bands.
    random = np.random.default_rng(args.seed)
    grain = gaussian_filter(random.standard_normal((height, width)), 0.6)
    grain = 0.8 * (grain / grain.std())[..., None] + 0.4 * random.standard_normal((height, width, 3))
    picture = picture + grain * np.sqrt(2.2e-5 * np.maximum(picture, 0) + 1.5e-7)

    code = np.round(encode(picture) * 255).astype(np.uint8)
    subprocess.run(["convert", "-size", f"{width}x{height}", "-depth", "8", "rgb:-", "-set", "colorspace", "sRGB",
                    "-sampling-factor", "4:4:4", "-quality", "94", args.out], input=code.tobytes(), check=True)


if __name__ == "__main__":
    main()
