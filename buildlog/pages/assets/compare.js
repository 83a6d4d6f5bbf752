// Before and after: the two pictures laid on one another, and a slider that says how much of each is seen.
// Without this script they stand side by side.

import { choose, wide } from "./modules/choice.js";
import { make } from "./modules/elements.js";

function lay(comparison) {
  if (comparison.querySelector("input")) return;
  const pair = comparison.querySelector(".pair-of-shots"), line = make("span", { className: "divider", ariaHidden: "true" });
  const input = make("input", { type: "range", min: 0, max: 100, step: 1, value: 50, ariaLabel: `Before and after: ${comparison.dataset.choice}` });
  for (const source of pair.querySelectorAll("source")) source.sizes = wide(comparison.style.getPropertyValue("--ratio"), 74);
  const show = () => {
    pair.style.setProperty("--at", `${input.value}%`);
    input.ariaValueText = `${input.value} % before, ${100 - input.value} % after`;
  };
  input.addEventListener("input", show);
  pair.append(input, line);
  comparison.classList.add("is-laid");
  show();
}

const comparisons = [...document.querySelectorAll(".comparison")];
if (comparisons.length) choose(comparisons, "View compared", lay);
