"""Solves the load of a network with SciPy, and Shreve magnitudes with NetworkX; times both without reading the input."""

import json
import sys
import time

import networkx
import numpy
from scipy.sparse import csc_matrix, identity
from scipy.sparse.linalg import spsolve

with open(sys.argv[1]) as file:
    data = json.load(file)
nodes = data["nodes"]
start = numpy.array(data["from"])
end = numpy.array(data["to"])
passed = numpy.array(data["passed"])
entry = numpy.array(data["entry"])

wall, processor = time.perf_counter(), time.process_time()
matrix = csc_matrix((passed, (end, start)), shape=(nodes, nodes))
flow = spsolve((identity(nodes, format="csc") - matrix).tocsc(), entry)
load = {"seconds": time.perf_counter() - wall, "processor": time.process_time() - processor}

wall, processor = time.perf_counter(), time.process_time()
graph = networkx.MultiDiGraph()
graph.add_nodes_from(range(nodes))
graph.add_edges_from(zip(data["from"], data["to"]))
arriving = [0.0] * nodes
heads = {node for node in range(nodes) if graph.in_degree(node) == 0}
for node in networkx.topological_sort(graph):
    out = list(graph.out_edges(node))
    for _, target in out:
        arriving[target] += 1.0 if node in heads else arriving[node] / len(out)
order = {"seconds": time.perf_counter() - wall, "processor": time.process_time() - processor}

print(json.dumps({**load, "flow": flow.tolist(), "order": order, "arriving": arriving}))
