// Draws the program's mark (needle sites in turn along a vessel, the next one hollow) as SVG and as PNG files in
// public/, from one geometry. No image library: coverage comes from distances, the PNG from Node's zlib.
import { writeFileSync } from "node:fs";
import { crc32, deflateSync } from "node:zlib";

const PLUM = [109, 46, 91];
const PAPER = [250, 247, 241];
const SIDE = 512;
const WIDTH = 26;
const vessel = (t) => [112 + 288 * t, 372 - 232 * t + 34 * Math.sin(2 * Math.PI * t)];
const sites = [0, 0.25, 0.5, 0.75, 1].map((t, index) => ({ at: vessel(t), hollow: index === 4 }));
const points = Array.from({ length: 65 }, (_, index) => vessel(index / 64));

function toSegment([x, y], [ax, ay], [bx, by]) {
  const [dx, dy] = [bx - ax, by - ay];
  const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)));
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}

// Negative inside the light drawing, positive outside, in units of the 512 square.
function toDrawing(point) {
  let away = Infinity;
  for (let index = 1; index < points.length; index++)
    away = Math.min(away, toSegment(point, points[index - 1], points[index]) - WIDTH / 4);
  for (const { at, hollow } of sites) {
    const centre = Math.hypot(point[0] - at[0], point[1] - at[1]);
    away = hollow ? Math.max(Math.min(away, centre - 46), 28 - centre) : Math.min(away, centre - 34);
  }
  return away;
}

function toSquare([x, y], radius) {
  const inner = SIDE / 2 - radius;
  const [dx, dy] = [Math.abs(x - SIDE / 2) - inner, Math.abs(y - SIDE / 2) - inner];
  return Math.hypot(Math.max(dx, 0), Math.max(dy, 0)) + Math.min(Math.max(dx, dy), 0) - radius;
}

const cover = (distance, unit) => Math.max(0, Math.min(1, 0.5 - distance / unit));

function chunk(kind, data) {
  const body = Buffer.concat([Buffer.from(kind), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}

/** `shrink` keeps a maskable icon's drawing inside the middle that every mask leaves standing. */
function png(size, { radius, shrink = 1 }) {
  const unit = SIDE / size;
  const rows = Buffer.alloc(size * (size * 4 + 1));
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const [x, y] = [(column + 0.5) * unit, (row + 0.5) * unit];
      const drawn = [SIDE / 2 + (x - SIDE / 2) / shrink, SIDE / 2 + (y - SIDE / 2) / shrink];
      const light = cover(toDrawing(drawn) * shrink, unit);
      const colour = PLUM.map((plum, index) => Math.round(plum + (PAPER[index] - plum) * light));
      const alpha = radius ? cover(toSquare([x, y], radius), unit) : 1;
      rows.set([...colour, Math.round(255 * alpha)], row * (size * 4 + 1) + 1 + column * 4);
    }
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(size, 0);
  head.writeUInt32BE(size, 4);
  head.set([8, 6, 0, 0, 0], 8);
  const signature = Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]);
  const parts = [chunk("IHDR", head), chunk("IDAT", deflateSync(rows, { level: 9 })), chunk("IEND", Buffer.alloc(0))];
  return Buffer.concat([signature, ...parts]);
}

function svg() {
  const line = points.map((point) => point.map((value) => value.toFixed(1)).join(" ")).join("L");
  const rgb = (colour) => `#${colour.map((value) => value.toString(16).padStart(2, "0")).join("")}`;
  const dots = sites.map(({ at: [x, y], hollow }) =>
    hollow
      ? `<circle cx="${x}" cy="${y}" r="37" fill="${rgb(PLUM)}" stroke="${rgb(PAPER)}" stroke-width="18"/>`
      : `<circle cx="${x}" cy="${y}" r="34" fill="${rgb(PAPER)}"/>`,
  );
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${SIDE} ${SIDE}"><rect width="${SIDE}" height="${SIDE}" rx="96" fill="${rgb(PLUM)}"/><path d="M${line}" fill="none" stroke="${rgb(PAPER)}" stroke-width="${WIDTH / 2}"/>${dots.join("")}</svg>\n`;
}

const folder = new URL("../public/", import.meta.url);
writeFileSync(new URL("mark.svg", folder), svg());
writeFileSync(new URL("icon-180.png", folder), png(180, { radius: 0 }));
writeFileSync(new URL("icon-192.png", folder), png(192, { radius: 96 }));
writeFileSync(new URL("icon-512.png", folder), png(512, { radius: 96 }));
writeFileSync(new URL("icon-maskable-512.png", folder), png(512, { radius: 0, shrink: 0.78 }));
