// The large picture: opened from a picture of the walkaround or its "Full picture" link. Its viewer is fetched when it
// is first opened; without it the link leads to the largest picture.

import { plates } from "./modules/pictures.js";

const all = plates();
for (const [index, plate] of all.entries()) {
  plate.dataset.opens = "";
  plate.addEventListener("click", async (event) => {
    if (event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    const full = plate.querySelector("a.full"), { target } = event;
    if (!target.closest("a.full") && !(target.closest(".shot") && !target.closest("a, button"))) return;
    event.preventDefault();
    const viewer = await import("./modules/viewer.js").catch(() => null);
    if (viewer) viewer.open(all, index, full);
    else location.href = full.href;
  });
}
