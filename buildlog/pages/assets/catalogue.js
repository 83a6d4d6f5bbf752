// The catalogue's filters and its sorted table. What is chosen stands in the address, so that it can be sent on.
// Without this script every card and the whole table are there.

const form = document.querySelector("form[data-catalogue]");
if (form) begin(form);

function begin(form) {
  const sheet = form.closest(".sheet");
  const facts = [...form.querySelectorAll("select")].map((select) => select.name);
  const items = [...sheet.querySelectorAll("li[data-kind], tr[data-kind]")];
  const table = sheet.querySelector("[data-sorted]");
  const heads = [...table.tHead.rows[0].cells];
  let sorted = null; // {key, down}

  /** What a cell is sorted by: a length in millimetres, the ratio of a scale, a year, else its words. */
  function worth(row, column, key) {
    const text = row.cells[column].textContent.trim();
    const figures = text.match(/[\d.,]+/g);
    if (!figures || !["length", "scale", "year"].includes(key)) return text;
    const figure = (index) => Number(figures[index]?.replaceAll(",", "") ?? 0);
    if (key === "scale") return figure(figures.length - 1);
    if (key === "year") return figure(0);
    const units = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 }; // in: exact by definition since 1959
    return figure(0) * (units[text.match(/[a-z]+/)?.[0]] ?? 1);
  }

  function sort() {
    for (const [index, head] of heads.entries()) {
      if (head.dataset.key !== sorted?.key) head.removeAttribute("aria-sort");
      else head.setAttribute("aria-sort", sorted.down ? "descending" : "ascending");
    }
    if (!sorted) return;
    const column = heads.findIndex((head) => head.dataset.key === sorted.key);
    const body = table.tBodies[0];
    const rows = [...body.rows].map((row) => ({ row, worth: worth(row, column, sorted.key) }));
    const words = new Intl.Collator(document.documentElement.lang || undefined, { numeric: true });
    rows.sort((a, b) => {
      if (a.worth === "" || b.worth === "") return (a.worth === "") - (b.worth === "");
      const numbers = typeof a.worth === "number" && typeof b.worth === "number";
      return (numbers ? a.worth - b.worth : words.compare(a.worth, b.worth)) * (sorted.down ? -1 : 1);
    });
    body.append(...rows.map(({ row }) => row));
  }

  function show() {
    const chosen = new FormData(form);
    let fitting = 0;
    for (const item of items) {
      item.hidden = !facts.every((fact) => !chosen.get(fact) || item.dataset[fact] === chosen.get(fact));
      if (item.matches("li") && !item.hidden) fitting++;
    }
    for (const group of sheet.querySelectorAll("[data-group]")) group.hidden = !group.querySelector("li:not([hidden])");
    for (const part of sheet.querySelectorAll("[data-show]")) part.hidden = part.dataset.show !== chosen.get("show") || !fitting;
    sheet.querySelector("[data-none]").hidden = fitting > 0;
    form.querySelector("[data-count]").textContent = fitting;
    sort();
  }

  function write() {
    const query = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (value && value !== "cards") query.set(name, value);
    if (sorted) query.set("sort", (sorted.down ? "-" : "") + sorted.key);
    const text = query.toString();
    history.replaceState(history.state, "", location.pathname + (text ? `?${text}` : "") + location.hash);
  }

  function read() {
    const query = new URLSearchParams(location.search);
    form.reset();
    for (const fact of facts) {
      const select = form.elements[fact];
      const wanted = query.get(fact)?.toLowerCase();
      select.value = [...select.options].find((option) => option.value.toLowerCase() === wanted)?.value ?? "";
    }
    if (query.get("show") === "table") form.elements.show.value = "table";
    const [, down, key] = /^(-?)(\w+)$/.exec(query.get("sort") ?? "") ?? [];
    sorted = heads.some((head) => head.dataset.key === key) ? { key, down: down === "-" } : null;
    show();
  }

  for (const head of heads) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    button.addEventListener("click", () => {
      sorted = { key: head.dataset.key, down: sorted?.key === head.dataset.key && !sorted.down };
      sort();
      write();
    });
    head.replaceChildren(button);
  }
  form.addEventListener("change", () => {
    show();
    write();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("popstate", read);
  form.hidden = false;
  read();
}
