// One of several at a time, with a choice of them by name. What is put by is still printed, and shown when it is led to.

let groups = 0;

/** @param onShow Called with each item when it is shown. */
export function choose(items, legend, onShow) {
  const name = `choice-${++groups}`;
  const show = (chosen) => {
    for (const item of items) item.toggleAttribute("data-put-by", item !== chosen);
    const input = inputs[items.indexOf(chosen)];
    if (input) input.checked = true;
    onShow(chosen);
  };
  const inputs = items.length < 2 ? [] : items.map((item, index) => {
    const input = document.createElement("input");
    Object.assign(input, { type: "radio", name, value: index });
    input.addEventListener("change", () => show(item));
    return input;
  });
  if (inputs.length) {
    const field = document.createElement("fieldset"), title = document.createElement("legend");
    field.className = "choice";
    field.dataset.searchExclude = "";
    title.className = "unseen";
    title.textContent = legend;
    field.append(title, ...items.map((item, index) => {
      const label = document.createElement("label"), words = document.createElement("span");
      words.textContent = item.dataset.choice;
      label.append(inputs[index], words);
      item.querySelector("h3").classList.add("unseen");
      return label;
    }));
    items[0].before(field);
  }
  const led = () => {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    return target && items.find((item) => item.contains(target));
  };
  show(led() ?? items[0]);
  addEventListener("hashchange", () => {
    const item = led();
    if (!item) return;
    show(item);
    item.scrollIntoView();
  });
}
