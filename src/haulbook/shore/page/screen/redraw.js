/** A picture from the phone's camera, drawn anew: small enough to send, and nothing in it but what it shows. */

/** Pixels of its longer side, at most. */
export const MOST_PX = 1600;
/** Bytes, at most: what the station takes. */
export const MOST_BYTES = 3000000;
const QUALITIES = [0.8, 0.6, 0.4];

/** Width and height that fit into `most` by `most`, in the same proportion; never larger than they are. */
export function fitted(width, height, most = MOST_PX) {
  const scale = Math.min(1, most / Math.max(width, height));
  return [Math.max(1, Math.round(width * scale)), Math.max(1, Math.round(height * scale))];
}

/**
 * Drawn on a canvas only what is seen goes along: place, device and time that a camera writes into its files do not.
 * @param {Blob} file any picture that the browser can show; turned as the camera was held
 * @returns {Promise<Uint8Array>} a JPEG
 * @throws {Error} where it can show none
 */
export async function redrawn(file) {
  const image = await shown(file);
  const [width, height] = fitted(image.naturalWidth, image.naturalHeight);
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const pen = canvas.getContext("2d");
  Object.assign(pen, { fillStyle: "white", imageSmoothingQuality: "high" });
  pen.fillRect(0, 0, width, height); // a JPEG has no see-through parts
  pen.drawImage(image, 0, 0, width, height);
  for (const quality of QUALITIES) {
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
    if (!blob || blob.type !== "image/jpeg") break;
    if (blob.size <= MOST_BYTES) return new Uint8Array(await blob.arrayBuffer());
  }
  throw new Error("this browser made no JPEG of it");
}

function shown(file) {
  const url = URL.createObjectURL(file);
  const image = new Image();
  return new Promise((resolve, reject) => {
    image.onload = () => (image.naturalWidth ? resolve(image) : reject(new Error("a picture without size")));
    image.onerror = () => reject(new Error("no picture"));
    image.src = url;
  }).finally(() => URL.revokeObjectURL(url));
}
