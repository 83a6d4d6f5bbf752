// Before and after: the two pictures laid on one another, and a slider that says how much of each is seen.
// Without this script they stand side by side.

import { choose } from "./modules/choice.js";

const WHOLE = "(min-width: 1760px) 1600px, calc(100vw - 32px)"; // how wide they stand once laid on one another

function lay(comparison) {
  if (comparison.querySelector("input")) return;
  const pair = comparison.querySelector(".pair-of-shots"), input = document.createElement("input"), line = document.createElement("span");
  for (const source of pair.querySelectorAll("source")) source.sizes = WHOLE;
  Object.assign(input, { type: "range", min: 0, max: 100, step: 1, value: 50 });
  input.setAttribute("aria-label", `Before and after: ${comparison.dataset.choice}`);
  line.className = "divider";
  line.setAttribute("aria-hidden", "true");
  const show = () => {
    pair.style.setProperty("--at", `${input.value}%`);
    input.setAttribute("aria-valuetext", `${input.value} % before, ${100 - input.value} % after`);
  };
  input.addEventListener("input", show);
  pair.append(input, line);
  comparison.classList.add("is-laid");
  show();
}

const comparisons = [...document.querySelectorAll(".comparison")];
if (comparisons.length) choose(comparisons, "View compared", lay);
