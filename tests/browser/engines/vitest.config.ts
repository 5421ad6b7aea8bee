import { defineConfig } from 'vitest/config';

// Other engines than Chromium, one after the other: starting one takes most of the time.
export default defineConfig({
  test: {
    include: ['engines/*.test.ts'],
    fileParallelism: false,
    testTimeout: 240_000,
    hookTimeout: 240_000,
  },
});
