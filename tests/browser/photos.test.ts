import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { installed, onDesk, onPhone, picture, type Site, signIn, startBrowser, startSite, violations } from './site.ts';

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

const maker = 'Invented Phone Works';

/**
 * What a phone's camera writes when it is held upright: pixels on their side, orientation 6 (CIPA
 * DC-008 4.6.4: the stored first row is seen at the right), and the place, in EXIF.
 */
async function cameraFile(page: Page): Promise<Buffer> {
  const plain = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(1600, 1200);
    const pen = canvas.getContext('2d');
    if (pen === null) throw new Error('no canvas');
    for (const [color, x, y] of [['red', 0, 0], ['lime', 800, 0], ['blue', 800, 600], ['white', 0, 600]] as const) {
      pen.fillStyle = color;
      pen.fillRect(x, y, 800, 600);
    }
    const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
    return [...new Uint8Array(await blob.arrayBuffer())];
  });
  const jpeg = Buffer.from(plain);
  const entry = (tag: number, kind: number, count: number, value: number) => {
    const b = Buffer.alloc(12);
    b.writeUInt16LE(tag, 0);
    b.writeUInt16LE(kind, 2);
    b.writeUInt32LE(count, 4);
    if (kind === 3) b.writeUInt16LE(value, 8);
    else b.writeUInt32LE(value, 8);
    return b;
  };
  const directory = (entries: Buffer[]) => {
    const count = Buffer.alloc(2);
    count.writeUInt16LE(entries.length);
    return Buffer.concat([count, ...entries, Buffer.alloc(4)]);
  };
  const text = Buffer.from(`${maker}\0`);
  const mainAt = 8;
  const textAt = mainAt + 2 + 12 * 3 + 4;
  const placeAt = textAt + text.length;
  const placesAt = placeAt + 2 + 12 * 2 + 4;
  const degrees = Buffer.alloc(48);
  for (const [at, n] of [44, 1, 3, 1, 1234, 100, 123, 1, 5, 1, 4321, 100].entries()) degrees.writeUInt32LE(n, at * 4);
  const tiff = Buffer.concat([
    Buffer.from([0x49, 0x49, 0x2a, 0, mainAt, 0, 0, 0]),
    directory([entry(0x010f, 2, text.length, textAt), entry(0x0112, 3, 1, 6), entry(0x8825, 4, 1, placeAt)]),
    text,
    directory([entry(0x0002, 5, 3, placesAt), entry(0x0004, 5, 3, placesAt + 24)]),
    degrees,
  ]);
  const body = Buffer.concat([Buffer.from('Exif\0\0'), tiff]);
  const head = Buffer.from([0xff, 0xe1, (body.length + 2) >> 8, (body.length + 2) & 255]);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
}

test('a photo taken without a signal outlives the page, arrives stripped, and is seen by the lead', async () => {
  const context = await onPhone(browser);
  context.setDefaultTimeout(90_000); // the whole app is kept on the device first
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await installed(page);
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  const photos = page.getByRole('region', { name: 'Photos' });
  await photos.getByText('No photos of this opening yet.').waitFor();
  const [, job] = /jobs\/([0-9a-f-]+)\/items\//.exec(page.url()) ?? [];
  const file = await cameraFile(page);
  expect(file.includes(maker)).toBe(true);
  // The job's log is on the device before the signal goes.
  await expect.poll(() => onDevice(page)).toBeGreaterThan(0);

  await context.setOffline(true);
  await page.getByLabel('Take a photo').setInputFiles({ name: 'IMG_0001.jpg', mimeType: 'image/jpeg', buffer: file });
  const sheet = page.getByRole('dialog', { name: 'New photo' });
  await sheet.getByLabel('What it shows').fill('The shelf cleat stands out.');
  await picture(page, 'photo-new');
  expect(await violations(page)).toEqual([]);
  await sheet.getByRole('button', { name: 'Keep it in the log' }).tap();
  await photos.getByText('Waiting to be sent').waitFor();
  await photos.scrollIntoViewIfNeeded();
  await picture(page, 'photo-waiting');
  expect(await violations(page)).toEqual([]);

  // The page is gone, with the signal still away; the photo is not.
  const address = page.url();
  await page.close();
  const again = await context.newPage();
  again.on('pageerror', (error) => errors.push(error.message));
  await again.goto(address);
  const kept = again.getByRole('region', { name: 'Photos' });
  await kept.getByText('Waiting to be sent').waitFor();
  const seen = kept.getByAltText('The shelf cleat stands out.');
  expect(await seen.evaluate((img: HTMLImageElement) => img.decode().then(() => [img.naturalWidth, img.naturalHeight]))).toEqual([1200, 1600]);

  await context.setOffline(false);
  const list = async () => {
    const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/photos`);
    const { photos: all } = (await answer.json()) as { photos: { photo_id: string; state: string; width: number; height: number }[] };
    return all;
  };
  const mine = async () => (await list()).at(-1);
  await expect.poll(async () => (await mine())?.state, { timeout: 40_000 }).toBe('stored');
  await expect.poll(() => kept.getByText('Waiting to be sent').count(), { timeout: 20_000 }).toBe(0);
  await picture(again, 'photo-here');
  expect(await violations(again)).toEqual([]);

  // Upright, and nothing of the camera's is left in it.
  const photo = await mine();
  expect([photo?.width, photo?.height]).toEqual([1200, 1600]);
  const full = await (await context.request.get(`${site.url}/api/v1/jobs/${job}/photos/${photo?.photo_id}/full.jpg`)).body();
  for (const no of [maker, 'Exif', 'GPS']) expect(full.includes(no)).toBe(false);
  const degrees = Buffer.alloc(8);
  degrees.writeUInt32LE(1234, 0);
  degrees.writeUInt32LE(100, 4);
  expect(full.includes(degrees)).toBe(false);
  const corner = await again.evaluate(async (bytes) => {
    const image = await createImageBitmap(new Blob([new Uint8Array(bytes)], { type: 'image/jpeg' }));
    const pen = new OffscreenCanvas(image.width, image.height).getContext('2d');
    if (pen === null) throw new Error('no canvas');
    pen.drawImage(image, 0, 0);
    return [...pen.getImageData(image.width - 20, 20, 1, 1).data];
  }, [...full]);
  expect(corner[0]).toBeGreaterThan(200);
  expect(Math.max(corner[1] ?? 255, corner[2] ?? 255)).toBeLessThan(60);

  // The lead sees it, large too.
  const lead = await (await onDesk(browser)).newPage();
  lead.setDefaultTimeout(90_000);
  await lead.goto(`${site.url}/board`);
  await signIn(site, lead, 'ruth');
  await lead.getByRole('link', { name: /41 Larkspur Lane/ }).first().click();
  await lead.getByRole('row', { name: /Linen closet door/ }).click();
  const board = lead.getByRole('region', { name: 'Photos' });
  const tile = board.getByAltText('The shelf cleat stands out.');
  await tile.waitFor();
  expect(await tile.evaluate((img: HTMLImageElement) => img.decode().then(() => img.naturalHeight))).toBe(400);
  await picture(lead, 'photo-board');
  expect(await violations(lead)).toEqual([]);
  await board.getByRole('button').first().click();
  const large = lead.getByRole('dialog').getByAltText('The shelf cleat stands out.');
  expect(await large.evaluate((img: HTMLImageElement) => img.decode().then(() => img.naturalHeight))).toBe(1600);
  await picture(lead, 'photo-large');
  expect(await violations(lead)).toEqual([]);
  expect(errors).toEqual([]);
});

/** How many jobs' logs the device holds. */
function onDevice(page: Page): Promise<number> {
  return page.evaluate(
    () =>
      new Promise<number>((found) => {
        const opening = indexedDB.open('longpoint');
        opening.onsuccess = () => {
          const rows = opening.result.transaction('jobs').objectStore('jobs').count();
          rows.onsuccess = () => {
            opening.result.close();
            found(rows.result);
          };
        };
      }),
  );
}

/** The first bytes of what an iPhone's camera keeps (ISO/IEC 14496-12, file type box). */
const heic = { name: 'IMG_0002.HEIC', mimeType: 'image/heic', buffer: Buffer.from('\0\0\0\x18ftypheic\0\0\0\0mif1heic', 'latin1') };

test("an iPhone's own format is converted where the browser opens it, and said in words where it does not", async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  // The camera's button asks for formats that every browser opens, upon which an iPhone converts by itself.
  expect(await page.getByLabel('Take a photo').getAttribute('accept')).toBe('image/jpeg,image/png,image/webp');
  await page.getByLabel('Take a photo').setInputFiles(heic);
  await page.getByText("That photo is in the iPhone's own format (HEIC), which this browser cannot open.").waitFor();
  expect(await violations(page)).toEqual([]);
  await picture(page, 'photo-heic');

  // A browser that opens it, which this one is not: what it would open is put in its place.
  await page.evaluate(() => {
    const opens = window.createImageBitmap;
    Object.assign(window, {
      createImageBitmap: (what: ImageBitmapSource, how?: ImageBitmapOptions) => {
        if (!(what instanceof File) || what.type !== 'image/heic') return opens(what, how);
        const canvas = new OffscreenCanvas(300, 400);
        canvas.getContext('2d')?.fillRect(0, 0, 300, 400);
        return opens(canvas);
      },
    });
  });
  await page.getByLabel('Take a photo').setInputFiles(heic);
  const sheet = page.getByRole('dialog', { name: 'New photo' });
  await sheet.getByRole('button', { name: 'Keep it in the log' }).tap();
  const [, job] = /jobs\/([0-9a-f-]+)\/items\//.exec(page.url()) ?? [];
  await expect.poll(async () => {
    const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/photos`);
    const { photos } = (await answer.json()) as { photos: { state: string; width: number; height: number }[] };
    return photos.filter(({ state, width, height }) => state === 'stored' && width === 300 && height === 400).length;
  }, { timeout: 30_000 }).toBe(1);
  await context.close();
});
