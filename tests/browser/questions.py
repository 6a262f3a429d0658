"""What a browser is asked about a page, as functions of its own language that give a list."""

PAST_THE_EDGE = """() => [...document.querySelectorAll('main *')].filter(each => {
  const box = each.getBoundingClientRect();
  return box.width && !each.closest('svg svg, svg *') && box.right > innerWidth + 1;
}).map(each => each.tagName + ' ' + each.textContent.trim().slice(0, 40))"""
NARROW = """() => [...document.querySelectorAll('li, dl, p')].filter(each => {
  const box = each.getBoundingClientRect();
  return box.width && box.width < 200 && each.textContent.trim().length > 40;
}).map(each => each.textContent.trim().slice(0, 40))"""
LOST_LABELS = """() => [...document.querySelectorAll('svg text')].filter(each => {
  const words = each.getBoundingClientRect(), drawn = each.ownerSVGElement.getBoundingClientRect();
  return words.left < drawn.left - 0.5 || words.right > drawn.right + 0.5
    || words.top < drawn.top - 0.5 || words.bottom > drawn.bottom + 0.5;
}).map(each => each.textContent)"""
OUT_OF_CELL = """() => [...document.querySelectorAll('td, th')].flatMap(cell => {
  const room = cell.getBoundingClientRect();
  return [...cell.querySelectorAll('span, b, small')].filter(each => {
    const box = each.getBoundingClientRect();
    return box.width && (box.right > room.right || box.left < room.left);
  }).map(each => cell.textContent.trim());
})"""
"""Cells out of which some of their words reach."""
OPERATIONS = """() => [...document.querySelectorAll('.operation')].map(
  each => each.getBoundingClientRect().height)"""
PAGES = """() => [...document.querySelectorAll('.running')].map((head, index, all) => {
  const next = all[index + 1], end = document.querySelector('main').getBoundingClientRect();
  const foot = next ? next.getBoundingClientRect().top : end.bottom;
  return [head.className.includes('break'), head.getBoundingClientRect().top, foot];
})"""
TALLER = """() => [...document.querySelectorAll('[data-said]')].map(each => {
  const style = getComputedStyle(each);
  const room = parseFloat(style.marginTop) + parseFloat(style.marginBottom);
  const high = each.getBoundingClientRect().height + room;
  return [each.textContent.trim().slice(0, 60), Number(each.dataset.said), high * 25.4 / 96];
})"""
BROKEN_FIGURES = """() => {
  const found = [], lines = rects => new Set([...rects].map(each => Math.round(each.bottom / 4)));
  for (const cell of document.querySelectorAll('td, th')) {
    const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
      const text = texts.currentNode;
      const figures = /(?:[±+−]\\s?)?(?:\\d+\\u00a0)?[\\d.][\\d./]*(?:\\u00a0(?:in|mm|%))?/g;
      for (const each of text.data.matchAll(figures)) {
        const range = document.createRange();
        range.setStart(text, each.index);
        range.setEnd(text, each.index + each[0].length);
        found.push([each[0], lines(range.getClientRects()).size]);
      }
    }
  }
  return found;
}"""
SIZES = """() => {
  const texts = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  const found = [];
  while (texts.nextNode()) {
    const each = texts.currentNode.parentElement;
    if (texts.currentNode.data.trim() && !each.closest('svg') && each.getClientRects().length)
      found.push([
        Math.round(parseFloat(getComputedStyle(each).fontSize) * 75) / 100,
        !!each.closest('small, code, figcaption, thead, .which, .sign, caption'),
        each.className === 'figure',
        texts.currentNode.data.trim().slice(0, 40),
      ]);
  }
  return found;
}"""
