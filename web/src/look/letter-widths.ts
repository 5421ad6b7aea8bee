/*
 * How wide the app's letters are (fonts.css), so that a drawing can be laid out before they have come and
 * without asking the browser, which makes a canvas and a font first. Measured from the font's own files
 * (scripts/letter-widths.mjs), from the space on, in steps of twelve thousandths of an em, each a sign of
 * ASCII; a browser test holds them against what is drawn. Pairs that stand closer are left out: a line comes
 * out up to a hundredth too wide.
 */
const widths: Readonly<Record<number, string>> = {
  400: ',-;JOcS-129F,7+5K:JMLMLJNL+,EFEC]SPQRLJUX08QHbWUMVPPIRPgQKM151?C*FJEJG9LH-.G1`HGJJ9B8HBYGE@3.4G',
  600: '+.>KPeV-33<H.8-7L;KNNONKON-.GHGD]TQSSLJVX19RHcXVNWQQKSQhSMO373@E,GJEJH9LI./H2aIHJJ:C:ICYHFA6.6I',
};
const step = 0.012;
const base = 24;
/** Of a letter that is not among them. */
const other = 0.56;

/** The width of a line of the app's letters, in the size's own unit. Accents take no room. */
export function widthOf(text: string, size: number, weight: number): number {
  const table = widths[weight] ?? '';
  let width = 0;
  for (const letter of text.normalize('NFD').replace(/\p{Mn}/gu, '')) {
    const code = table.charCodeAt((letter.codePointAt(0) ?? 0) - 32);
    width += Number.isNaN(code) ? other : (code - base) * step;
  }
  return width * size;
}
