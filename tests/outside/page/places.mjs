// Where things are on a page: functions that run in it.

/** What is wrong with the places of things on a page: what is cut off, too small for fingers, or lies over something else. */
export function misplaced() {
  const out = [];
  const told = (element) => element.id || element.outerHTML.slice(0, 80);
  const { scrollWidth, clientWidth } = document.documentElement;
  if (scrollWidth > clientWidth) out.push(`the page is ${scrollWidth} wide, the screen ${clientWidth}`);
  for (const element of document.querySelectorAll('main *, header *, .dock *')) {
    const box = element.getBoundingClientRect();
    // The street, the numbers and the bars scroll or end on purpose; what is unseen is for readers of screens.
    if (element.closest('#cells, .unseen, svg, #street, #numbers, .bars') || box.width === 0) continue;
    if (box.left < -1 || box.right > clientWidth + 1) out.push(`${told(element)}: ${box.left} to ${box.right}`);
  }
  for (const control of document.querySelectorAll('button, label, input[type=range]')) {
    const box = control.getBoundingClientRect();
    if (box.width === 0) continue;
    if (box.width < 43.9 || box.height < 43.9) out.push(`${told(control)}: ${box.width} by ${box.height}`);
  }
  // Letters stay in their buttons, and lines in the dock within it.
  for (const element of document.querySelectorAll('.dock button, .dock p, .tools button, #street button')) {
    if (element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 2) {
      out.push(`${told(element)}: its text is ${element.scrollWidth} by ${element.scrollHeight}, it has ${element.clientWidth} by ${element.clientHeight}`);
    }
  }
  const apart = (selector) => {
    const boxes = [...document.querySelectorAll(selector)].map((element) => [element, element.getBoundingClientRect()]).filter(([, box]) => box.width > 0);
    boxes.forEach(([one, a], i) => {
      for (const [other, b] of boxes.slice(i + 1)) {
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (wide > 1 && high > 1) out.push(`${told(one)} lies over ${told(other)}: ${wide} by ${high}`);
      }
    });
  };
  apart('.dock .strokes > p, .dock #choose, .dock #street, .dock #over, .dock .play > *, #bars');
  apart('header, #face, .doubt, #cells');
  return out;
}

/** Where the pan, the bar that plays and the dock are on the screen. */
export function staged() {
  const box = (selector) => {
    const { left, top, right, bottom } = document.querySelector(selector).getBoundingClientRect();
    return { left, top, right, bottom };
  };
  const drums = [...document.querySelectorAll('#face .barrel:not(.away), #face > svg:not(:has(.barrel)) .note')].map((drum) => {
    const { left, top, right, bottom } = drum.getBoundingClientRect();
    return { left, top, right, bottom };
  });
  return { dock: box('#dock'), play: box('#play'), drums, screen: [innerWidth, innerHeight] };
}
