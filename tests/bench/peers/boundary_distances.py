"""Signed distances of points to the boundary of polygons with Shapely's STRtree over the edges.

All at once with Shapely 2, one by one with Shapely 1.8. Input: a JSON file with paths: `patches` (float64: count of rings,
vertices of each, coordinates) and `points` (float64 x, y). Prints one JSON object.
"""
import json
import sys
import time

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.prepared import prep
from shapely.strtree import STRtree

job = json.load(open(sys.argv[1]))
raw = np.fromfile(job["patches"])
count = int(raw[0])
ends = np.cumsum(raw[1 : 1 + count].astype(np.int64))
rings = np.split(raw[1 + count :].reshape(-1, 2), ends[:-1])
patches = [Polygon(ring) for ring in rings]
edges = [LineString(ring[k : k + 2]) for ring in rings for k in range(len(ring) - 1)]
places = [Point(p) for p in np.fromfile(job["points"]).reshape(-1, 2)]
signed = np.empty(len(places))

wall, used = time.perf_counter(), time.process_time()
tree, ground = STRtree(edges), STRtree(patches)
if shapely.__version__ >= "2":
    _, signed = tree.query_nearest(places, return_distance=True, all_matches=False)
    inside = ground.query(places, predicate="within")[0]
    signed[inside] *= -1
else:
    holds = [prep(patch) for patch in patches]
    for i, place in enumerate(places):
        distance = place.distance(edges[tree.nearest_item(place)])
        inside = any(holds[k].contains(place) for k in ground.query_items(place))
        signed[i] = -distance if inside else distance
seconds, processor = time.perf_counter() - wall, time.process_time() - used
print(json.dumps({"seconds": seconds, "processor": processor, "signed": signed.tolist(), "version": shapely.__version__}))
