/*
 * A photo made small enough to send from a basement: upright, its long side as long as it is looked
 * at, and without anything the camera wrote beside the pixels. Runs in a worker where the browser
 * draws there, else in the page.
 */

export interface Shrunk {
  readonly jpeg: ArrayBuffer;
  readonly width: number;
  readonly height: number;
}

/** As large as the service keeps a photo. */
const longSide = 2048;
const quality = 0.82;

/** Throws where the browser cannot open the file. */
export async function shrink(file: Blob): Promise<Shrunk> {
  const image = await createImageBitmap(file, { imageOrientation: 'from-image' });
  try {
    const scale = Math.min(1, longSide / Math.max(image.width, image.height));
    const width = Math.max(1, Math.round(image.width * scale));
    const height = Math.max(1, Math.round(image.height * scale));
    const blob = await drawn(image, width, height);
    return { jpeg: await blob.arrayBuffer(), width, height };
  } finally {
    image.close();
  }
}

async function drawn(image: ImageBitmap, width: number, height: number): Promise<Blob> {
  if (typeof OffscreenCanvas !== 'undefined') {
    const canvas = new OffscreenCanvas(width, height);
    draw(canvas.getContext('2d'), image, width, height);
    return canvas.convertToBlob({ type: 'image/jpeg', quality });
  }
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  draw(canvas.getContext('2d'), image, width, height);
  const blob = await new Promise<Blob | null>((made) => {
    canvas.toBlob(made, 'image/jpeg', quality);
  });
  if (blob === null) throw new Error('the canvas made no picture');
  return blob;
}

function draw(
  pen: CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D | null,
  image: ImageBitmap,
  width: number,
  height: number,
): void {
  if (pen === null) throw new Error('no canvas');
  pen.fillStyle = 'white';
  pen.fillRect(0, 0, width, height);
  pen.imageSmoothingQuality = 'high';
  pen.drawImage(image, 0, 0, width, height);
}
