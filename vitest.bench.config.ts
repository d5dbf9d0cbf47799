import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: { benchmark: { include: ['tests/bench/**/*.bench.ts'] }, testTimeout: 600_000, hookTimeout: 600_000 },
})
