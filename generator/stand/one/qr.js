// A QR code (ISO/IEC 18004) for a short text of capitals, digits and $%*+-./: - versions 1 to 5, level L, one block.

const ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";
const DATA = [19, 34, 55, 80, 108], CHECK = [7, 10, 15, 20, 26]; // codewords of each version

/** The most characters that fit. */
export const QR_LONGEST = 154;

const EXP = new Uint8Array(512), LOG = new Uint8Array(256);
for (let n = 0, x = 1; n < 255; n += 1) {
  EXP[n] = EXP[n + 255] = x;
  LOG[x] = n;
  x = x & 128 ? (x << 1) ^ 285 : x << 1;
}

const times = (a, b) => (a && b ? EXP[LOG[a] + LOG[b]] : 0);

function checkWords(words, many) {
  let divisor = [1];
  for (let n = 0; n < many; n += 1) {
    const next = [...divisor, 0];
    divisor.forEach((value, place) => { next[place + 1] ^= times(value, EXP[n]); });
    divisor = next;
  }
  const left = [...words, ...Array(many).fill(0)];
  words.forEach((_, place) => {
    const first = left[place];
    divisor.forEach((value, n) => { left[place + n] ^= times(value, first); });
  });
  return left.slice(words.length);
}

function codewords(text, version) {
  const bits = [];
  const put = (value, length) => { for (let n = length - 1; n >= 0; n -= 1) bits.push((value >> n) & 1); };
  put(2, 4);
  put(text.length, 9);
  for (let n = 0; n < text.length; n += 2) {
    const pair = [...text.slice(n, n + 2)].map((sign) => ALPHABET.indexOf(sign));
    if (pair.length === 2) put(pair[0] * 45 + pair[1], 11);
    else put(pair[0], 6);
  }
  const room = DATA[version - 1] * 8;
  put(0, Math.min(4, room - bits.length));
  while (bits.length % 8) bits.push(0);
  for (let n = 0; bits.length < room; n += 1) put(n % 2 ? 17 : 236, 8);
  const words = Array.from({ length: room / 8 }, (_, n) => bits.slice(n * 8, n * 8 + 8).reduce((sum, bit) => sum * 2 + bit, 0));
  return [...words, ...checkWords(words, CHECK[version - 1])];
}

const MASKS = [(r, c) => (r + c) % 2, (r) => r % 2, (r, c) => c % 3, (r, c) => (r + c) % 3, (r, c) => ((r >> 1) + Math.floor(c / 3)) % 2, (r, c) => ((r * c) % 2) + ((r * c) % 3), (r, c) => (((r * c) % 2) + ((r * c) % 3)) % 2, (r, c) => (((r + c) % 2) + ((r * c) % 3)) % 2];

function drawn(words, version, mask) {
  const size = 17 + 4 * version;
  const grid = Array.from({ length: size }, () => Array(size).fill(null));
  const finder = (row, column) => {
    for (let r = -1; r < 8; r += 1) for (let c = -1; c < 8; c += 1) if (grid[row + r]?.[column + c] !== undefined) {
      const ring = Math.max(Math.abs(r - 3), Math.abs(c - 3));
      grid[row + r][column + c] = ring !== 2 && ring !== 4 ? 1 : 0;
    }
  };
  finder(0, 0); finder(0, size - 7); finder(size - 7, 0);
  if (version > 1) for (let r = -2; r < 3; r += 1) for (let c = -2; c < 3; c += 1) grid[size - 7 + r][size - 7 + c] = Math.max(Math.abs(r), Math.abs(c)) === 1 ? 0 : 1;
  for (let n = 8; n < size - 8; n += 1) grid[6][n] = grid[n][6] = n % 2 ? 0 : 1;
  formatBits(grid, size, mask);
  let n = 0;
  for (let right = size - 1; right > 0; right -= 2) {
    if (right === 6) right = 5;
    for (let step = 0; step < size; step += 1) for (const c of [right, right - 1]) {
      const r = (right + 1) & 2 ? step : size - 1 - step;
      if (grid[r][c] !== null) continue;
      const bit = n < words.length * 8 ? (words[n >> 3] >> (7 - (n & 7))) & 1 : 0;
      grid[r][c] = bit ^ (MASKS[mask](r, c) ? 0 : 1);
      n += 1;
    }
  }
  return grid;
}

function formatBits(grid, size, mask) {
  const data = 8 | mask; // level L is 01
  let rest = data << 10;
  for (let n = 14; n > 9; n -= 1) if (rest >> n & 1) rest ^= 1335 << (n - 10);
  const bits = ((data << 10) | rest) ^ 21522;
  for (let n = 0; n < 15; n += 1) {
    const bit = bits >> n & 1;
    grid[n < 6 ? n : n < 8 ? n + 1 : size - 15 + n][8] = bit;
    grid[8][n < 8 ? size - 1 - n : n < 9 ? 7 : 14 - n] = bit;
  }
  grid[size - 8][8] = 1;
}

function penalty(grid) {
  const size = grid.length, turned = grid.map((_, c) => grid.map((row) => row[c]));
  let sum = 0, dark = 0;
  for (const lines of [grid, turned]) for (const line of lines) {
    const text = line.join("");
    for (const run of text.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
    for (let n = 0; n + 11 <= size; n += 1) if (["10111010000", "00001011101"].includes(text.slice(n, n + 11))) sum += 40;
  }
  for (let r = 0; r < size; r += 1) for (let c = 0; c < size; c += 1) {
    dark += grid[r][c];
    if (r && c && grid[r][c] === grid[r - 1][c] && grid[r][c] === grid[r][c - 1] && grid[r][c] === grid[r - 1][c - 1]) sum += 3;
  }
  return sum + 10 * Math.floor(Math.abs(dark / size / size - 0.5) * 20);
}

/** The modules of a code, rows of 0 and 1; `mask` 0 to 7, or the one that reads best. */
export function qr(text, mask = null) {
  const version = DATA.findIndex((room) => 13 + Math.ceil(text.length * 5.5) <= room * 8) + 1;
  if (!version) return null;
  const words = codewords(text, version);
  const all = (mask === null ? [0, 1, 2, 3, 4, 5, 6, 7] : [mask]).map((one) => drawn(words, version, one));
  return all.reduce((best, one) => (penalty(one) < penalty(best) ? one : best));
}
