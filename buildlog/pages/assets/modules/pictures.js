// What the page holds of a picture: its made files, and the callouts on it.

/** Whether the reader would rather have no movement. */
export const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Files of one sort, smallest first: `[{address, width}]`, as a `srcset` lists them. */
function listed(srcset) {
  const files = srcset.split(/,\s+/).map((entry) => /^(\S+)\s+(\d+)w$/.exec(entry.trim())).filter(Boolean);
  return files.map(([, address, width]) => ({ address: new URL(address, document.baseURI).href, width: Number(width) })).sort((a, b) => a.width - b.width);
}

const sorts = (img) => [...(img.parentElement?.querySelectorAll("source") ?? [])].map((source) => listed(source.srcset));

/**
 * The files of a picture in the sort that the browser has chosen; its single JPEG where it has chosen none.
 *
 * @param like Another picture, which the browser has chosen for, where it has not yet for this one.
 */
export function files(img, like = img) {
  const chosen = sorts(like).findIndex((sort) => sort.some(({ address }) => address === like.currentSrc));
  return sorts(img)[chosen] ?? [{ address: img.src, width: Number(img.getAttribute("width")) }];
}

/** The smallest file of a picture that is at least so many pixels wide, else the largest; `like` as for `files`. */
export function fitting(img, pixels, like = img) {
  const all = files(img, like);
  return all.find(({ width }) => width >= pixels) ?? all.at(-1);
}

/** Fetch a picture of the page that has been put off until it would be scrolled to. */
export async function fetched(img) {
  img.loading = "eager";
  await img.decode().catch(() => {});
  return img.currentSrc || img.src;
}

/** A number that stands in a style as a percentage, as a share. */
const share = (element, name) => parseFloat(element.style.getPropertyValue(name)) / 100;

/** Where a point or region lies on its picture, all in shares. */
export function place(mark) {
  if (!mark.matches(".region")) return { x: share(mark, "--across"), y: share(mark, "--down"), w: 0, h: 0 };
  const [left, top, w, h] = ["--left", "--top", "--width", "--height"].map((name) => share(mark, name));
  return { x: left + w / 2, y: top + h / 2, w, h };
}

/** The words of an element alone: without ids, without what can be pressed. */
function words(element) {
  const copy = element.cloneNode(true);
  for (const part of copy.querySelectorAll("button, input, .number, [data-search-exclude], [hidden]")) part.remove();
  for (const part of [copy, ...copy.querySelectorAll("*")]) part.removeAttribute("id");
  for (const link of copy.querySelectorAll("a")) link.replaceWith(...link.childNodes);
  for (const part of copy.querySelectorAll("p, span")) if (!part.textContent.trim()) part.remove();
  for (const part of copy.querySelectorAll("p, li, h4")) part.append(" "); // so that words of two lines stay two
  return copy;
}

/** A picture of the walkaround and all that is said of it, as the page says it. */
export function read(plate) {
  const img = plate.querySelector(".shot img"), caption = plate.querySelector("figcaption .prose");
  const callouts = [...plate.querySelectorAll(".callouts > [data-callout]")].map((item) => {
    const key = item.dataset.callout, heading = item.querySelector("h4");
    const said = words(item);
    said.querySelector("h4")?.remove();
    return {
      key,
      title: heading ? words(heading).textContent.trim() : "",
      said: [...said.childNodes],
      ...place(plate.querySelector(`.shot [data-callout="${key}"]`)),
    };
  });
  return {
    plate,
    img,
    name: plate.querySelector(".plate-name").textContent,
    width: Number(img.getAttribute("width")),
    height: Number(img.getAttribute("height")),
    said: caption ? [...words(caption).childNodes] : [],
    callouts,
  };
}

/** The pictures of a page's walkaround, in their order. */
export const plates = () => [...document.querySelectorAll(".plate")];
