"""A drainage net from drawn lines with SciPy and Shapely: ends snapped, tees noded, directed from the outlets up.

Input: a file of float64: counts (lines, vertices, snap, metres a degree both ways), then coordinates, first vertices, outlet flags.
With Shapely 2 everything is vectorised; Shapely 1.8 asks its tree end by end. The geometry of the pieces is not cut (in the
peer's favour). Prints one JSON object.
"""
import json
import resource
import sys
import time
import warnings

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order, connected_components
from scipy.spatial import cKDTree

warnings.simplefilter("ignore")
raw = np.fromfile(sys.argv[1])
count, vertices, snap, mx, my = int(raw[0]), int(raw[1]), raw[2], raw[3], raw[4]
coords = raw[5 : 5 + 2 * vertices].reshape(-1, 2)
first = raw[5 + 2 * vertices : 6 + 2 * vertices + count].astype(np.int64)
outlet = raw[6 + 2 * vertices + count :] == 1

wall, used = time.perf_counter(), time.process_time()
plane = coords * np.array([mx, my])
ends = np.concatenate([plane[first[:-1]], plane[first[1:] - 1]])
line_of_end = np.tile(np.arange(count), 2)



def keep_inside(end, line):
    """Ends on the side of another line, away from its own ends."""
    keep = line != line_of_end[end]
    for side in (first[:-1], first[1:] - 1):
        keep &= np.hypot(*(ends[end] - plane[side[line]]).T) > snap
    return end[keep], line[keep]


if hasattr(shapely, "linestrings"):
    lines = shapely.linestrings(plane, indices=np.repeat(np.arange(count), np.diff(first)))
    tree = shapely.STRtree(lines)
    end, line = keep_inside(*tree.query(shapely.points(ends), predicate="dwithin", distance=snap))
    along = shapely.line_locate_point(lines[line], shapely.points(ends[end]))
    feet = shapely.get_coordinates(shapely.line_interpolate_point(lines[line], along))
    lengths = shapely.length(lines)
else:
    from shapely.geometry import LineString, Point, box
    from shapely.strtree import STRtree

    lines = [LineString(plane[first[i] : first[i + 1]]) for i in range(count)]
    tree = STRtree(lines)
    points = [Point(x, y) for x, y in ends]
    near = [tree.query_items(box(x - snap, y - snap, x + snap, y + snap)) for x, y in ends]
    end, line = keep_inside(np.repeat(np.arange(len(ends)), [len(found) for found in near]), np.concatenate(near).astype(int))
    close = np.array([lines[k].distance(points[i]) <= snap for i, k in zip(end, line)], bool)
    end, line = end[close], line[close]
    along = np.array([lines[k].project(points[i]) for i, k in zip(end, line)])
    feet = np.array([lines[k].interpolate(t).coords[0] for k, t in zip(line, along)])
    lengths = np.array([one.length for one in lines])

# Stops: both ends of each line, then the tees; a tee is one node with its end, and with what lies within snap of it.
stops = np.concatenate([ends, feet])
pairs = cKDTree(stops).query_pairs(snap, output_type="ndarray")
a = np.concatenate([pairs[:, 0], end])
b = np.concatenate([pairs[:, 1], 2 * count + np.arange(len(end))])
nodes, node = connected_components(coo_matrix((np.ones(len(a), bool), (a, b)), (len(stops), len(stops))), directed=False)
stop_line = np.concatenate([line_of_end, line])
stop_along = np.concatenate([np.zeros(count), lengths, along])
order = np.lexsort((stop_along, stop_line))
same = stop_line[order][1:] == stop_line[order][:-1]
up, down = node[order][:-1][same], node[order][1:][same]
piece_line = stop_line[order][:-1][same]
real = up != down
up, down, piece_line = up[real], down[real], piece_line[real]

# From one root that all outlets hang on, breadth first: a piece whose start comes nearer to the outlet is turned.
outlets = np.unique(node[count:][: count][outlet])
root = nodes
x = np.concatenate([up, np.full(len(outlets), root)])
y = np.concatenate([down, outlets])
graph = coo_matrix((np.ones(len(x), np.int8), (x, y)), (nodes + 1, nodes + 1)).tocsr()
seen, before = breadth_first_order(graph, root, directed=False)
rank = np.full(nodes + 1, -1)
rank[seen] = np.arange(len(seen))
turn = (before[down] == up) & (rank[up] >= 0)
turned = int(turn.sum())
up[turn], down[turn] = down[turn], up[turn].copy()
seconds, processor = time.perf_counter() - wall, time.process_time() - used

# A place for each node: the mean of its stops.
size = np.bincount(node, minlength=nodes)
place = np.stack([np.bincount(node, stops[:, k], nodes) / size for k in (0, 1)], 1)
np.concatenate([place.ravel(), up, down]).astype(np.float64).tofile(sys.argv[1] + ".out")
print(json.dumps({
    "seconds": seconds, "processor": processor, "nodes": nodes, "edges": len(up), "turned": turned, "shapely": shapely.__version__,
    "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
}))
