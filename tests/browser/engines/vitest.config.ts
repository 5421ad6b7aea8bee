import { defineConfig } from 'vitest/config';

// Other engines than Chromium, one after the other: starting one takes most of the time.
export default defineConfig({
  test: {
    include: ['engines/*.test.ts'],
    fileParallelism: false,
    // A screen may come as it last stood and take in what was done once the rules are loaded.
    expect: { poll: { timeout: 15_000 } },
    testTimeout: 240_000,
    hookTimeout: 240_000,
  },
});
