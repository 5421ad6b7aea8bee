/** The most a schedule's file may have. A larger one is not even read here. */
export const mostBytes = 1 << 20;

/** Bytes as JSON carries them. */
export function base64(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.length; at += 0x2000) {
    text += String.fromCharCode(...bytes.subarray(at, at + 0x2000));
  }
  return btoa(text);
}

/** Cells as CSV (RFC 4180), every one in quotation marks, so that no cell is taken for two. */
export function asCsv(rows: readonly (readonly string[])[]): Uint8Array {
  const text = rows
    .map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(','))
    .join('\n');
  return new TextEncoder().encode(text);
}
