# Kernel density with R's ks on a grid. Arguments: points (float64 x, y), bandwidth, side of the ground, nodes a side.
args <- commandArgs(trailingOnly = TRUE)
suppressMessages(library(ks))
raw <- readBin(args[1], "double", n = file.size(args[1]) / 8)
points <- matrix(raw, ncol = 2, byrow = TRUE)
h <- as.numeric(args[2]); side <- as.numeric(args[3]); nodes <- as.integer(args[4])
before <- proc.time()
field <- kde(points, H = diag(c(h, h)^2), gridsize = c(nodes, nodes), xmin = c(0, 0), xmax = c(side, side), binned = TRUE)
used <- proc.time() - before
cat(sprintf('{"seconds": %f, "processor": %f, "peak": %.9g}\n', used["elapsed"], used["user.self"] + used["sys.self"], max(field$estimate)))
