import { defineConfig } from 'vitest/config'

/** Benchmarks are timed checks, one after the other: equal results are part of them. */
export default defineConfig({
  test: {
    include: ['tests/bench/**/*.bench.ts'],
    fileParallelism: false,
    disableConsoleIntercept: true,
    testTimeout: 900_000,
    hookTimeout: 900_000,
  },
})
