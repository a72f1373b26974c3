"""Tables for judging photographs, made by other people's libraries.

    pip install pillow exifread geographiclib opencv-python-headless numpy
    python3 tests/reference/judge_fixtures.py

Run from the repository's root. Writes inks.jpg (four inks), exif/*.jpg (Pillow writes their tags, in either byte order), exif.csv (exifread
reads them), bent_frame.csv (OpenCV projects the mesh of a shipped model through a lens of one radial term) and
position_offsets.csv (geographiclib solves the inverse geodesic problem on WGS 84).
"""
import csv
import glob
import io

import cv2
import exifread
import numpy as np
from geographiclib.geodesic import Geodesic
from PIL import Image
from PIL.TiffImagePlugin import IFDRational as R

HERE = "tests/reference/"

FULL = {
    0x829A: R(1, 250), 0x829D: R(56, 10), 0x8827: 200,
    0x9003: "2027:06:11 10:20:30", 0x9004: "2027:06:11 10:20:30", 0x9011: "-06:00",
    0x920A: R(35, 1), 0xA20E: R(2553191, 1000), 0xA20F: R(2553191, 1000), 0xA210: 3, 0xA405: 53,
    0xA002: 6000, 0xA003: 4000,
}
GPS = {
    1: "N", 2: (R(43, 1), R(30, 1), R(1800, 100)), 3: "W", 4: (R(96, 1), R(45, 1), R(0, 1)),
    7: (R(16, 1), R(20, 1), R(28, 1)), 29: "2027:06:11", 31: R(47, 10),
}
SOUTH = {
    1: "S", 2: (R(33, 1), R(7, 1), R(5925, 100)), 3: "E", 4: (R(151, 1), R(12, 1), R(345, 10)),
}


def but(tags, *gone):
    return {key: value for key, value in tags.items() if key not in gone}


CASES = {
    "little_endian": ("<", 1, FULL, GPS),
    "big_endian": (">", 1, FULL, GPS),
    "turned_right": (">", 6, FULL, GPS),
    "turned_left": ("<", 8, but(FULL, 0xA20E, 0xA20F, 0xA210), {}),
    "upside_down": ("<", 3, but(FULL, 0x9011, 0xA405), SOUTH),
    "no_lens": (">", 1, but(FULL, 0x920A, 0xA405, 0x829D), {}),
    "no_time": ("<", 1, but(FULL, 0x9003, 0x9004, 0x9011), but(GPS, 31)),
    "nothing_but_rotation": (">", 5, {}, {}),
}


def write_pictures():
    Image.new("CMYK", (48, 32), (20, 90, 60, 10)).save(HERE + "inks.jpg", quality=80)
    for name, (endian, way, exif, gps) in CASES.items():
        tags = Image.Exif()
        tags.endian = endian
        tags[0x0112] = way
        if exif:
            tags.get_ifd(0x8769).update(exif)
        if gps:
            tags.get_ifd(0x8825).update(gps)
        picture = Image.fromarray(np.full((16, 24, 3), 120, np.uint8))
        picture.save(f"{HERE}exif/{name}.jpg", exif=tags.tobytes(), quality=60)


def read_pictures():
    fields = {
        "local": "EXIF DateTimeOriginal", "offset": "EXIF OffsetTimeOriginal", "focal_mm": "EXIF FocalLength",
        "equivalent_mm": "EXIF FocalLengthIn35mmFilm", "f_number": "EXIF FNumber",
        "exposure_s": "EXIF ExposureTime", "iso": "EXIF ISOSpeedRatings", "orientation": "Image Orientation",
        "position_error_m": "GPS Tag 0x001F", "date_utc": "GPS GPSDate",
        "density": "EXIF FocalPlaneXResolution",
    }
    rows = []
    for path in sorted(glob.glob(HERE + "exif/*.jpg")):
        with open(path, "rb") as file:
            tags = exifread.process_file(file, details=False, builtin_types=False)

        def told(key):
            value = tags.get(key)
            if value is None:
                return ""
            first = value.values[0] if not isinstance(value.values, str) else value.values
            return str(float(first)) if not isinstance(first, str) else first

        def degrees(key):
            value = tags.get(key)
            if value is None:
                return ""
            d, m, s = (float(one) for one in value.values)
            sign = -1.0 if str(tags[key + "Ref"]) in "SW" else 1.0
            return repr(sign * (d + m / 60.0 + s / 3600.0))

        row = {"file": path[len(HERE) + 5:]}
        row.update({name: told(key) for name, key in fields.items()})
        row["lat_deg"], row["lon_deg"] = degrees("GPS GPSLatitude"), degrees("GPS GPSLongitude")
        clock = tags.get("GPS GPSTimeStamp")
        row["time_utc"] = "" if clock is None else ":".join(f"{int(float(one)):02}" for one in clock.values)
        rows.append(row)
    table("exif.csv", rows)


def table(name, rows):
    with open(HERE + name, "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def axes(heading, pitch, roll):
    """Right, up and forward of a camera in a frame of east, north and up."""
    h, p, r = np.radians([heading, pitch, roll])
    forward = np.array([np.sin(h) * np.cos(p), np.cos(h) * np.cos(p), np.sin(p)])
    right = np.array([np.cos(h), -np.sin(h), 0.0])
    up = np.cross(right, forward)
    return right * np.cos(r) - up * np.sin(r), up * np.cos(r) + right * np.sin(r), forward


def bend():
    mesh = "models/hood_six_axle.obj"
    points = np.array([[float(x) for x in line.split()[1:4]] for line in open(mesh) if line.startswith("v ")])
    width, height, film = 6000, 4000, 36.0
    rows = []
    for number, (eye, heading, pitch, roll, focal, k1) in enumerate([
        ((27.0, -17.0, 1.6), 302.0, 1.0, 0.4, 50.0, -0.3),
        ((27.0, -17.0, 1.6), 301.0, 0.0, -2.0, 42.0, 0.25),
        ((-24.0, 15.0, 2.0), 122.0, 2.5, 0.0, 35.0, -0.12),
        ((30.0, -25.0, 0.9), 307.0, -1.5, 1.0, 60.0, 0.5),
    ]):
        def seen(world, roll):
            right, up, forward = axes(heading, pitch, roll)
            turn = np.array([right, -up, forward])
            pixels = focal * width / film
            camera = np.array([[pixels, 0, width / 2], [0, pixels, height / 2], [0, 0, 1.0]])
            shift = -turn @ np.array(eye)
            found, _ = cv2.projectPoints(world, cv2.Rodrigues(turn)[0], shift, camera, np.array([k1, 0, 0, 0.0]))
            return found[:, 0, :]

        at = seen(points, roll)
        edge = np.array([[9.0, np.sign(eye[1]) * 1.5, 1.0], [9.0, np.sign(eye[1]) * 1.5, 3.0]])
        foot, head = seen(edge, 0.0)
        rise = head - foot
        rows.append({
            "x_m": eye[0], "y_m": eye[1], "z_m": eye[2], "heading_deg": heading, "pitch_deg": pitch,
            "roll_deg": roll, "focal_mm": focal, "k1": k1,
            "left": repr(float(at[:, 0].min() / width)), "right": repr(float(1 - at[:, 0].max() / width)),
            "top": repr(float(at[:, 1].min() / height)), "bottom": repr(float(1 - at[:, 1].max() / height)),
            "edge_x_m": edge[0, 0], "edge_y_m": edge[0, 1],
            "lean_deg": repr(float(abs(np.degrees(np.arctan2(rise[0], abs(rise[1])))))),
        })
    table("bent_frame.csv", rows)


def offsets():
    rows = []
    for lat, lon in [(40.12, -98.35), (-33.1, 151.2), (69.5, 18.9), (0.2, 179.9999)]:
        for bearing, away in [(10.0, 4.0), (75.0, 120.0), (200.0, 1500.0), (281.0, 9000.0)]:
            there = Geodesic.WGS84.Direct(lat, lon, bearing, away)
            rows.append({
                "lat_deg": lat, "lon_deg": lon, "to_lat_deg": repr(there["lat2"]), "to_lon_deg": repr(there["lon2"]),
                "distance_m": away, "bearing_deg": bearing,
            })
    table("position_offsets.csv", rows)


write_pictures()
read_pictures()
bend()
offsets()
