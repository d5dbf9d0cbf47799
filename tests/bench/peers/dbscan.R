# Groups of points by distance and minimum count with R's dbscan. Arguments: points (float64 x, y), reach, minimum, labels out.
args <- commandArgs(trailingOnly = TRUE)
suppressMessages(library(dbscan))
raw <- readBin(args[1], "double", n = file.size(args[1]) / 8)
points <- matrix(raw, ncol = 2, byrow = TRUE)
before <- proc.time()
groups <- dbscan(points, eps = as.numeric(args[2]), minPts = as.integer(args[3]))$cluster
writeBin(as.integer(groups), args[4])
used <- proc.time() - before
cat(sprintf('{"seconds": %f, "processor": %f}\n', used["elapsed"], used["user.self"] + used["sys.self"]))
