/** The longest side of a photograph that is kept: enough to see a ring or gills, and a tenth of what cameras take. */
const LONGEST = 1600;
const QUALITY = 0.85;

/** A photograph as it is kept: scaled down, as a JPEG without what the camera noted of place and device. undefined where it cannot be read. */
export async function scaledDown(file: Blob): Promise<Blob | undefined> {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise((done) =>
      canvas.toBlob((made) => done(made ?? undefined), 'image/jpeg', QUALITY),
    );
  } catch {
    return undefined;
  }
}
