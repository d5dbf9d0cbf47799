"""The load of a net by levels with NumPy: what leaves each arc, the levels, and one pass down; forward only.

Input: a file of float64: counts (nodes, arcs), then from, to, length and share of each arc, and what enters each node. Retention is 2000 m.
Prints one JSON object and writes the flow of each node beside the input.
"""
import json
import sys
import time

import numpy as np

raw = np.fromfile(sys.argv[1])
nodes, arcs = int(raw[0]), int(raw[1])
parts = np.split(raw[2:], np.cumsum([arcs, arcs, arcs, arcs, nodes]))
start, end, length, share, entry = parts[0].astype(np.int32), parts[1].astype(np.int32), *parts[2:5]

wall, used = time.perf_counter(), time.process_time()
passed = share * np.exp(-length / 2000)
order = np.argsort(start, kind="stable")
first = np.searchsorted(start[order], np.arange(nodes + 1))
waiting = np.bincount(end, minlength=nodes)
flow = entry.copy()
level = np.flatnonzero(waiting == 0)
while len(level):
    count = first[level + 1] - first[level]
    at = np.repeat(first[level] - np.concatenate([[0], np.cumsum(count)[:-1]]), count) + np.arange(count.sum())
    out = order[at]
    to = end[out]
    np.add.at(flow, to, flow[start[out]] * passed[out])
    np.subtract.at(waiting, to, 1)
    to = np.unique(to)
    level = to[waiting[to] == 0]
seconds, processor = time.perf_counter() - wall, time.process_time() - used
flow.tofile(sys.argv[1] + ".out")
print(json.dumps({"seconds": seconds, "processor": processor}))
