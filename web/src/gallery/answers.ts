import { fakeRulebook } from '../rulebook/fake.ts';

/** What the gallery's stand-in for the rule book knows; anything else it refuses. */
export const answers = fakeRulebook(
  {
    '79 5/8': { nm: 2_022_475_000, text: '79 5/8' },
    '79.93': { nm: 2_030_222_000, text: '79 15/16 light' },
    '80 1/2': { nm: 2_044_700_000, text: '80 1/2' },
    '2018mm': { nm: 2_018_000_000, text: '79 7/16 heavy' },
    '2018': { nm: 2_018_000_000, text: '2018' },
  },
  'Sevenths aren’t on a tape. Type the nearest 1/16, as 79 5/8.',
);
