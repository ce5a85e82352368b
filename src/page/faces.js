// The drawn pan on a screen: how its drums lie so that they are as large as they can be, and which of them are shown.

/**
 * @typedef {[number, number, number, number]} Box least x and y, width and height
 *
 * @typedef {object} Laid
 * @property {[number, number][]} at where the upper left corner of each box comes
 * @property {number} width
 * @property {number} height
 */

/** Room between drums, as a share of a drum. */
const GAP = 0.03;

/** How much larger drums must become to be laid in another way than they hang. */
const WORTH = 1.07;

/** How close the middles of two rows of round drums are, where one lies between two others: the height of a triangle of equal sides. */
const NESTED = Math.sqrt(3) / 2;

/**
 * The ways in which drums may lie: as they hang, in rows, two of them aslant.
 *
 * @param {Box[]} boxes
 * @param {boolean} round whether all drums are round
 * @returns {Laid[]}
 */
export function ways(boxes, round) {
  const [w, h] = [Math.max(...boxes.map((box) => box[2])), Math.max(...boxes.map((box) => box[3]))];
  const [wide, high] = [w * (1 + GAP), h * (1 + GAP)];
  const out = [framed(boxes.map(([x, y]) => [x, y]), boxes)];
  // From the far ones to the near ones, and in each row from the left to the right.
  const order = boxes.map((_, i) => i).sort((a, b) => middle(boxes[a])[1] - middle(boxes[b])[1] || boxes[a][0] - boxes[b][0]);
  for (let rows = 1; rows <= boxes.length; rows++) {
    /** @type {[number, number][]} */
    const at = boxes.map(() => [0, 0]);
    let [taken, y, before] = [0, 0, 0];
    for (let row = 0; row < rows; row++) {
      const count = Math.floor((boxes.length - taken) / (rows - row));
      const line = order.slice(taken, taken + count).sort((a, b) => boxes[a][0] - boxes[b][0]);
      if (row > 0) y += round && Math.abs(count - before) === 1 ? high * NESTED : high;
      line.forEach((box, i) => (at[box] = [(i - (count - 1) / 2) * wide, y]));
      [taken, before] = [taken + count, count];
    }
    out.push(framed(at, boxes));
  }
  if (boxes.length === 2 && round) {
    const [left, right] = boxes[0][0] <= boxes[1][0] ? [0, 1] : [1, 0];
    for (let degrees = 15; degrees <= 75; degrees += 15) {
      const turn = (degrees * Math.PI) / 180;
      /** @type {[number, number][]} */
      const at = [[0, 0], [0, 0]];
      at[right] = [wide * Math.cos(turn), wide * Math.sin(turn)];
      at[left] = [0, 0];
      out.push(framed(at, boxes));
    }
  }
  return out;
}

/** @param {Box} box @returns {[number, number]} */
function middle([x, y, w, h]) {
  return [x + w / 2, Math.round(y + h / 2)];
}

/** @param {[number, number][]} at @param {Box[]} boxes @returns {Laid} */
function framed(at, boxes) {
  const x = Math.min(...at.map(([x]) => x));
  const y = Math.min(...at.map(([, y]) => y));
  return {
    at: at.map(([a, b]) => [a - x, b - y]),
    width: Math.max(...at.map(([a], i) => a + boxes[i][2])) - x,
    height: Math.max(...at.map(([, b], i) => b + boxes[i][3])) - y,
  };
}

/**
 * The way in which drums are largest in a frame; as they hang, unless another is clearly larger.
 *
 * @param {Box[]} boxes
 * @param {boolean} round
 * @param {number} width
 * @param {number} height
 * @param {number} [below] how high what lies under them is
 */
export function largest(boxes, round, width, height, below = 0) {
  const scale = (/** @type {Laid} */ laid) => Math.min(width / laid.width, height / (laid.height + below));
  const all = ways(boxes, round);
  const best = all.reduce((best, laid) => (scale(laid) > scale(best) + 1e-9 ? laid : best));
  return scale(best) > WORTH * scale(all[0]) ? best : all[0];
}
