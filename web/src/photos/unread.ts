/**
 * What is said of a file that this browser could not open. An iPhone hands over a JPEG wherever one
 * is asked for; a HEIC comes from elsewhere, and some browsers open it.
 */
export function unreadOf({ name, type }: Pick<File, 'name' | 'type'>) {
  const iPhones = /^image\/hei[cf]/i.test(type) || /\.hei[cf]$/i.test(name);
  return iPhones ? 'photos.unread.heic' : 'photos.unread';
}
