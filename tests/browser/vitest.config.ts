import { defineConfig } from 'vitest/config';

// One site and one browser for each file; journeys are long, and two at once would only
// wait for each other on a small machine.
export default defineConfig({
  test: {
    include: ['*.test.ts'],
    fileParallelism: false,
    testTimeout: 180_000,
    hookTimeout: 120_000,
    // A busy machine draws late; a test that is right does not wait for this.
    expect: { poll: { timeout: 10_000 } },
  },
});
