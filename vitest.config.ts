import { defineConfig } from 'vitest/config'
import { ReferenceReport } from './tests/reference/report.ts'

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    reporters: ['default', new ReferenceReport()],
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
})
