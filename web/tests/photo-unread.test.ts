import { describe, expect, it } from 'vitest';
import { unreadOf } from '../src/photos/unread.ts';

describe('a file that the browser could not open', () => {
  it.each([
    ['IMG_0001.HEIC', 'image/heic', 'photos.unread.heic'],
    ['IMG_0001.heif', '', 'photos.unread.heic'],
    ['IMG_0001.heic', 'application/octet-stream', 'photos.unread.heic'],
    ['from a camera', 'image/heif-sequence', 'photos.unread.heic'],
    ['letter.pdf', 'application/pdf', 'photos.unread'],
    ['IMG_0001.jpg', 'image/jpeg', 'photos.unread'],
    ['heic.txt', 'text/plain', 'photos.unread'],
  ])('%s as %s is said as %s', (name, type, said) => {
    expect(unreadOf({ name, type })).toBe(said);
  });
});
