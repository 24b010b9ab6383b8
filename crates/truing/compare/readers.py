#!/usr/bin/env python3
"""How fast Python's usual readers are, over logs such as `src/texts.rs` makes: the other half of the table of readers.

Versions it was last run with: gpxpy 1.6.2, pynmea2 1.19.0.

    pip install gpxpy==1.6.2 pynmea2==1.19.0 && python3 readers.py
"""

import math
import time

import gpxpy
import pynmea2

SIZE_BYTES = 5 << 20
RUNS = 3


def text(head, tail, line):
    parts, size, index = [head], 0, 0
    while size < SIZE_BYTES:
        parts.append(line(index))
        size += len(parts[-1])
        index += 1
    return "".join(parts) + tail


def place(index):
    along = index * 1e-5
    return 10 + along % 1, 20 + along * 0.7 % 1, 15 + 10 * math.sin(along)


def gpx():
    def line(index):
        lat, lon, speed = place(index)
        return (
            f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>120.4</ele><time>2024-05-24T10:{index // 60 % 60:02}:{index % 60:02}Z</time>'
            f"<extensions><speed>{speed:.2f}</speed></extensions></trkpt>\n"
        )

    head = '<gpx version="1.1" creator="nobody" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n'
    return text(head, "</trkseg></trk></gpx>\n", line)


def nmea():
    def sentence(body):
        total = 0
        for byte in body.encode():
            total ^= byte
        return f"${body}*{total:02X}\r\n"

    def line(index):
        lat, lon, speed = place(index)
        at = f"10{index // 60 % 60:02}{index % 60:02}.00"
        lat, lon = f"10{lat % 1 * 60:08.5f}", f"020{lon % 1 * 60:08.5f}"
        return sentence(f"GPRMC,{at},A,{lat},N,{lon},E,{speed:.3f},84.4,240524,,,A") + sentence(
            f"GPGGA,{at},{lat},N,{lon},E,1,08,0.9,120.4,M,46.9,M,,"
        )

    return text("", "", line)


def rate(name, data, read):
    best = math.inf
    for _ in range(RUNS):
        start = time.process_time()
        read(data)
        best = min(best, time.process_time() - start)
    print(f"{name}: {len(data) / 1e6 / best:.2f} MB/s")


rate("gpxpy", gpx(), gpxpy.parse)
rate("pynmea2", nmea(), lambda data: [pynmea2.parse(line) for line in data.splitlines()])
