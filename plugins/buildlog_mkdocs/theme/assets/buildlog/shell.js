// Written pages: what is too wide for them scrolls by itself, and must then be reached by the keyboard.

const WIDE = ".md-typeset pre, .md-typeset__scrollwrap";

function reach() {
  for (const each of document.querySelectorAll(WIDE)) {
    if (each.scrollWidth > each.clientWidth) each.tabIndex = 0;
    else each.removeAttribute("tabindex");
  }
}

const page = document.querySelector(".md-content");
if (page) new ResizeObserver(reach).observe(page);
globalThis.document$?.subscribe(() => requestAnimationFrame(reach));
