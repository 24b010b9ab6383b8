"""A robust estimate of a reading ratio: `robust.py TRACK.csv VEHICLE.csv`. The same as tests/mismatched/script.rs."""
import csv, math, statistics, sys

COLUMNS = {"epoch_ms": ("t", 1e-3), "gps_sec": ("t", 1), "t_s": ("t", 1), "lat": ("lat", 1), "lon": ("lon", 1),
           "speed_m_s": ("v", 1), "ref_vf": ("v", 1), "obd_speed_kmh": ("w", 1 / 3.6), "obd_speed": ("w", 1), "fl_m_s": ("w", 1)}
GAP, APART, WINDOW, STEP, LEAST, LAGS = 10, (5, 30), 45, 15, 5, 60

def read(path):
    named = lambda row: {COLUMNS[k][0]: float(x) * COLUMNS[k][1] for k, x in row.items() if k in COLUMNS and x}
    return [named(row) for row in csv.DictReader(open(path))]

def metres(a, b):  # on the ellipsoid of WGS 84, for places close together
    w = 1 - 0.00669437999014 * math.sin(math.radians(a[0])) ** 2
    north = math.radians(b[0] - a[0]) * 6378137 * (1 - 0.00669437999014) / w ** 1.5
    return math.hypot(north, math.radians(b[1] - a[1]) * 6378137 / math.sqrt(w) * math.cos(math.radians(a[0])))

def speeds(rows):
    kept = []
    for r in rows:
        row = (r["t"], (r["lat"], r["lon"]) if "lat" in r else None, r.get("v"))
        if not kept or (row[0] > kept[-1][0] and row[1:] != kept[-1][1:]):
            kept.append(row)
    if 2 * sum(v is not None for _, _, v in kept) > len(kept):
        return [(t, v) for t, _, v in kept if v is not None]
    found, j = [], 0
    for t, place, _ in kept:
        while j + 1 < len(kept) and kept[j][0] < t + APART[0]:
            j += 1
        span = kept[j][0] - t
        if place and kept[j][1] and APART[0] <= span < APART[1]:
            found.append((t + span / 2, metres(place, kept[j][1]) / span))
    return found

def every_second(samples, start, count):
    j, found = 0, []
    for t in (start + k for k in range(count)):
        while j + 1 < len(samples) and samples[j][0] < t:
            j += 1
        (t0, v0), (t1, v1) = samples[max(j - 1, 0)], samples[j]
        found.append(v0 + (t - t0) / (t1 - t0) * (v1 - v0) if t0 <= t <= t1 and 0 < t1 - t0 < GAP else None)
    return found

def whole(pairs):
    return [(x, y) for x, y in pairs if x is not None and y is not None]

def agreement(pairs):
    pairs = whole(pairs)
    return statistics.correlation(*zip(*pairs)) if len(pairs) >= 60 else -math.inf

def main(track, vehicle):
    truth, shown = speeds(read(track)), [(r["t"], r["w"]) for r in read(vehicle)]
    steps = [(b[0] - a[0], (a[1] + b[1]) / 2) for a, b in zip(truth, truth[1:])]
    print("length_m", sum(s * v for s, v in steps if s < GAP))
    first, count = truth[0][0], int(truth[-1][0] - truth[0][0]) + 1
    start = shown[0][0] if abs(shown[0][0] - first) > 86400 else first
    truth, shown = every_second(truth, first, count), every_second(shown, start - LAGS, count + 2 * LAGS)
    lag = max(range(2 * LAGS + 1), key=lambda lag: (agreement(list(zip(truth, shown[lag:]))), lag))
    pairs = list(zip(truth, shown[lag:]))
    ratios = []
    for k in range(0, count - WINDOW + 1, STEP):
        good = whole(pairs[k:k + WINDOW])
        if len(good) >= 0.8 * WINDOW and sum(x for x, _ in good) > LEAST * len(good):
            ratios.append(sum(y for _, y in good) / sum(x for x, _ in good))
    print("lag_s", lag - LAGS + start - first)
    print("ratio", sorted(ratios)[len(ratios) // 2] if len(ratios) >= 3 else None, "of", len(ratios), "windows")

main(*sys.argv[1:3])
