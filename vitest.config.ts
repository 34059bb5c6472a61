import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['src/**/*.test.{ts,tsx}', 'tests/**/*.test.{ts,tsx}'],
    // A test that asserts nothing proves nothing.
    expect: { requireAssertions: true },
    // As many as the smallest machine that builds has cores; without it one would stand idle there.
    maxWorkers: 2,
    // Generous, because outside solvers and a browser start within tests; a hang still ends.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    coverage: { provider: 'v8', include: ['src/**'], exclude: ['src/**/*.test.*'], reportsDirectory: 'coverage' },
  },
});
