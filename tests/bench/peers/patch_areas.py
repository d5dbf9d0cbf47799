"""Area of patches in parcels with Shapely's STRtree: all at once with Shapely 2, one by one with Shapely 1.8.

Input: a JSON file with paths to float64 files (count of rings, vertices of each, coordinates). Prints one JSON object.
"""
import json
import sys
import time

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.strtree import STRtree

job = json.load(open(sys.argv[1]))


def polygons(path):
    raw = np.fromfile(path)
    count = int(raw[0])
    ends = np.cumsum(raw[1 : 1 + count].astype(np.int64))
    coords = raw[1 + count :].reshape(-1, 2)
    return [Polygon(ring) for ring in np.split(coords, ends[:-1])]


parcels, patches = polygons(job["parcels"]), polygons(job["patches"])
sums = np.zeros(len(parcels))
wall, used = time.perf_counter(), time.process_time()
tree = STRtree(patches)
if shapely.__version__ >= "2":
    parcel, patch = tree.query(parcels, predicate="intersects")
    area = shapely.area(shapely.intersection(np.array(parcels)[parcel], np.array(patches)[patch]))
    sums = np.bincount(parcel, weights=area, minlength=len(parcels))
else:
    for i, parcel in enumerate(parcels):
        for k in tree.query_items(parcel):
            sums[i] += parcel.intersection(patches[k]).area
seconds, processor = time.perf_counter() - wall, time.process_time() - used
print(json.dumps({"seconds": seconds, "processor": processor, "sums": sums.tolist(), "version": shapely.__version__}))
