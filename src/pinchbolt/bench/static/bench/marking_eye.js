// A marking made readable on the tablet itself: framed, turned, magnified, freed of noise, its contrast evened out. Nothing of it
// waits for the workshop's computer, so it works without signal. The framed part is what is sent and kept.
(function () {
  "use strict";

  const MOST_PX = 2400, SENT_PX = 1600, SHOWN_PX = 900, CLEAR_PX = 1000, MOST_TIMES = 6, STEP = 15, GIVE_UP_MS = 40000;
  const eyes = new WeakMap();

  // ---- pixels ----------------------------------------------------------------------------------------------------------

  function greyOf(data, n) {
    const grey = new Float32Array(n);
    for (let i = 0; i < n; i += 1) { grey[i] = 0.299 * data[4 * i] + 0.587 * data[4 * i + 1] + 0.114 * data[4 * i + 2]; }
    return grey;
  }

  // The middle of nine: takes single bright and dark points away and leaves edges where they are.
  function median(grey, wide, high) {
    const out = new Float32Array(grey), nine = new Float32Array(9);
    for (let y = 1; y < high - 1; y += 1) {
      for (let x = 1; x < wide - 1; x += 1) {
        let k = 0;
        for (let dy = -wide; dy <= wide; dy += wide) { for (let dx = -1; dx <= 1; dx += 1) { nine[k] = grey[y * wide + x + dy + dx]; k += 1; } }
        nine.sort();
        out[y * wide + x] = nine[4];
      }
    }
    return out;
  }

  // Sums over a square round each point, by a table of sums: as quick for a wide square as for a small one.
  function means(values, wide, high, reach) {
    const table = new Float64Array((wide + 1) * (high + 1)), out = new Float32Array(values.length);
    for (let y = 0; y < high; y += 1) {
      let row = 0;
      for (let x = 0; x < wide; x += 1) { row += values[y * wide + x]; table[(y + 1) * (wide + 1) + x + 1] = table[y * (wide + 1) + x + 1] + row; }
    }
    for (let y = 0; y < high; y += 1) {
      const top = Math.max(0, y - reach), foot = Math.min(high, y + reach + 1);
      for (let x = 0; x < wide; x += 1) {
        const left = Math.max(0, x - reach), right = Math.min(wide, x + reach + 1);
        const sum = table[foot * (wide + 1) + right] - table[top * (wide + 1) + right] - table[foot * (wide + 1) + left] + table[top * (wide + 1) + left];
        out[y * wide + x] = sum / ((foot - top) * (right - left));
      }
    }
    return out;
  }

  // Each point against its own surroundings: shine and shade are evened out, grey on black stands as clear as black on white.
  function readable(image, invert, stronger) {
    const wide = image.width, high = image.height, n = wide * high;
    let grey = median(greyOf(image.data, n), wide, high);
    if (stronger) { grey = median(grey, wide, high); }
    const reach = Math.max(6, Math.round(Math.max(wide, high) / (stronger ? 28 : 16)));
    const middle = means(grey, wide, high, reach);
    const squares = means(grey.map(function (one) { return one * one; }), wide, high, reach);
    const least = stronger ? 3 : 8, times = stronger ? 80 : 55;
    for (let i = 0; i < n; i += 1) {
      const spread = Math.sqrt(Math.max(squares[i] - middle[i] * middle[i], 0));
      const value = 128 + times * (grey[i] - middle[i]) / Math.max(spread, least);
      const shown = Math.max(0, Math.min(255, invert ? 255 - value : value));
      image.data[4 * i] = image.data[4 * i + 1] = image.data[4 * i + 2] = shown;
      image.data[4 * i + 3] = 255;
    }
    return image;
  }

  // ---- one photo -------------------------------------------------------------------------------------------------------

  function scaled(source, most) {
    const times = Math.min(1, most / Math.max(source.width, source.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(source.width * times));
    canvas.height = Math.max(1, Math.round(source.height * times));
    canvas.getContext("2d").drawImage(source, 0, 0, canvas.width, canvas.height);
    return canvas;
  }

  // The framed part, turned; its corners show what lies round the frame.
  function cropped(eye, most, mostTimes) {
    const frame = eye.frame, angle = eye.turn * Math.PI / 180, cos = Math.abs(Math.cos(angle)), sin = Math.abs(Math.sin(angle));
    const wide = frame.w * cos + frame.h * sin, high = frame.w * sin + frame.h * cos;
    const times = Math.min(mostTimes, most / Math.max(wide, high));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(wide * times));
    canvas.height = Math.max(1, Math.round(high * times));
    const ink = canvas.getContext("2d", { willReadFrequently: true });
    ink.imageSmoothingQuality = "high";
    ink.translate(canvas.width / 2, canvas.height / 2);
    ink.rotate(angle);
    ink.scale(times, times);
    ink.drawImage(eye.source, -(frame.x + frame.w / 2), -(frame.y + frame.h / 2));
    return canvas;
  }

  function drawPhoto(eye) {
    const canvas = eye.photo, times = Math.min(1, SHOWN_PX / Math.max(eye.source.width, eye.source.height)), frame = eye.frame;
    canvas.width = Math.round(eye.source.width * times);
    canvas.height = Math.round(eye.source.height * times);
    const ink = canvas.getContext("2d");
    ink.drawImage(eye.source, 0, 0, canvas.width, canvas.height);
    ink.fillStyle = "rgba(0, 0, 0, 0.45)";
    ink.beginPath();
    ink.rect(0, 0, canvas.width, canvas.height);
    ink.rect(frame.x * times, frame.y * times, frame.w * times, frame.h * times);
    ink.fill("evenodd");
    ink.lineWidth = 4;
    ink.strokeStyle = "#ffffff";
    ink.strokeRect(frame.x * times, frame.y * times, frame.w * times, frame.h * times);
    ink.lineWidth = 1.5;
    ink.strokeStyle = "#000000";
    ink.strokeRect(frame.x * times, frame.y * times, frame.w * times, frame.h * times);
  }

  function drawClear(eye) {
    const part = cropped(eye, CLEAR_PX, MOST_TIMES), ink = part.getContext("2d");
    const done = readable(ink.getImageData(0, 0, part.width, part.height), eye.invert, eye.stronger);
    eye.clear.width = part.width;
    eye.clear.height = part.height;
    eye.clear.getContext("2d").putImageData(done, 0, 0);
    const times = part.width / (eye.frame.w * Math.abs(Math.cos(eye.turn * Math.PI / 180)) + eye.frame.h * Math.abs(Math.sin(eye.turn * Math.PI / 180)));
    eye.how.textContent = worded("freed of noise, contrast evened out") + (eye.invert ? worded(", light and dark swapped") : "") +
      (eye.turn ? worded(", turned {turn}\u00b0", { turn: eye.turn }) : "") + (times > 1.05 ? worded(", {times} times as large", { times: times.toFixed(1) }) : "");
  }

  // The framed part as the file that is sent; where it can't be made, the whole photo goes.
  function cut(eye) {
    eye.cutting = new Promise(function (done) { cropped(eye, SENT_PX, 1).toBlob(done, "image/jpeg", 0.9); }).then(function (blob) {
      if (!blob) { return; }
      const files = new DataTransfer();
      files.items.add(new File([blob], "marking.jpg", { type: "image/jpeg" }));
      eye.crop.files = files.files;
    });
    return eye.cutting;
  }

  function redraw(eye) {
    if (eye.asked) { return; }
    eye.asked = true;
    requestAnimationFrame(function () {
      eye.asked = false;
      drawPhoto(eye);
      clearTimeout(eye.later);
      // While fingers move only the frame moves; the rest follows when they rest.
      eye.later = setTimeout(function () { drawClear(eye); cut(eye); eye.form.dataset.eyeState = "drawn"; }, 120);
    });
  }

  function framed(eye, x, y, w, h) {
    const wide = eye.source.width, high = eye.source.height;
    w = Math.max(Math.min(w, wide), Math.min(24, wide));
    h = Math.max(Math.min(h, high), Math.min(24, high));
    eye.frame = { x: Math.max(0, Math.min(x, wide - w)), y: Math.max(0, Math.min(y, high - h)), w: w, h: h };
    redraw(eye);
  }

  function grown(eye, times) {
    const frame = eye.frame, w = frame.w * times, h = frame.h * times;
    framed(eye, frame.x + (frame.w - w) / 2, frame.y + (frame.h - h) / 2, w, h);
  }

  function moved(eye, dx, dy) { framed(eye, eye.frame.x + dx * eye.frame.w, eye.frame.y + dy * eye.frame.h, eye.frame.w, eye.frame.h); }

  function turned(eye, by) { eye.turn = ((eye.turn + by + 540) % 360) - 180; redraw(eye); }

  const DO = {
    closer: function (eye) { grown(eye, 0.75); },
    wider: function (eye) { grown(eye, 1 / 0.75); },
    left: function (eye) { turned(eye, -STEP); },
    right: function (eye) { turned(eye, STEP); },
    quarter: function (eye) { turned(eye, 90); },
    invert: function (eye, button) { eye.invert = !eye.invert; button.setAttribute("aria-pressed", String(eye.invert)); redraw(eye); },
    stronger: function (eye, button) { eye.stronger = !eye.stronger; button.setAttribute("aria-pressed", String(eye.stronger)); redraw(eye); },
    whole: function (eye) { eye.turn = 0; framed(eye, 0, 0, eye.source.width, eye.source.height); },
  };

  const KEYS = {
    ArrowLeft: function (eye) { moved(eye, -0.1, 0); }, ArrowRight: function (eye) { moved(eye, 0.1, 0); },
    ArrowUp: function (eye) { moved(eye, 0, -0.1); }, ArrowDown: function (eye) { moved(eye, 0, 0.1); },
    "+": DO.wider, "-": DO.closer,
  };

  // ---- fingers and mouse -----------------------------------------------------------------------------------------------

  function spot(eye, event) {
    const box = eye.photo.getBoundingClientRect(), times = eye.source.width / box.width;
    return { x: (event.clientX - box.left) * times, y: (event.clientY - box.top) * times, page: event.clientY };
  }

  function between(eye, a, b) {
    const w = Math.abs(a.x - b.x), h = Math.abs(a.y - b.y);
    if (w > eye.source.width / 60 && h > eye.source.height / 60) { framed(eye, Math.min(a.x, b.x), Math.min(a.y, b.y), w, h); }
  }

  function fingers(eye) {
    const down = new Map();
    eye.photo.addEventListener("pointerdown", function (event) {
      down.set(event.pointerId, spot(eye, event));
      // A pointer that a test or a pen makes up can't always be held.
      try { eye.photo.setPointerCapture(event.pointerId); } catch (gone) { /* it is followed all the same */ }
    });
    eye.photo.addEventListener("pointermove", function (event) {
      const before = down.get(event.pointerId);
      if (!before) { return; }
      const here = spot(eye, event);
      if (event.pointerType !== "touch") { between(eye, before, here); return; }
      // One finger scrolls the page, as everywhere; two frame the marking.
      if (down.size === 1) { window.scrollBy(0, before.page - here.page); }
      down.set(event.pointerId, here);
      if (down.size === 2) { const both = [...down.values()]; between(eye, both[0], both[1]); }
    });
    for (const end of ["pointerup", "pointercancel"]) { eye.photo.addEventListener(end, function (event) { down.delete(event.pointerId); }); }
    eye.photo.addEventListener("keydown", function (event) {
      if (KEYS[event.key]) { event.preventDefault(); KEYS[event.key](eye); }
    });
  }

  // ---- what the workshop's computer reads on it ---------------------------------------------------------------------------

  async function ask(eye, button) {
    const answer = eye.form.querySelector("[data-eye-answer]");
    button.disabled = true;
    answer.textContent = worded("Reading: some seconds. You can type it meanwhile.");
    try {
      await eye.cutting;
      const asked = new FormData(eye.form);
      asked.delete("photo");
      const got = await fetch(eye.form.dataset.eyeRead, { method: "POST", body: asked, signal: AbortSignal.timeout(GIVE_UP_MS) });
      const words = await got.text();
      if (got.redirected || !words.includes("data-candidates")) { throw new Error("no answer"); }
      answer.innerHTML = words;
      answer.querySelector("[data-candidates]").focus();
    } catch (nothing) {
      answer.textContent = worded("Not read: no answer from the workshop's computer. Type what you see.");
    } finally { button.disabled = false; }
  }

  // ---- a form wakes ------------------------------------------------------------------------------------------------------

  async function look(form, file) {
    const eye = eyes.get(form);
    let bitmap;
    try { bitmap = await createImageBitmap(file); }
    catch (broken) { eye.said.textContent = worded("This is no photo that the tablet can show. Take it anew."); eye.shown.hidden = false; return; }
    eye.source = scaled(bitmap, MOST_PX);
    bitmap.close();
    eye.turn = 0;
    eye.said.textContent = "";
    eye.shown.hidden = false;
    form.querySelector("[data-eye-asks]").hidden = false;
    framed(eye, 0, 0, eye.source.width, eye.source.height);
  }

  function wakeForm(form) {
    if (eyes.has(form)) { return; }
    const crop = document.createElement("input");
    crop.type = "file"; crop.name = "crop"; crop.hidden = true; crop.tabIndex = -1;
    form.append(crop);
    const find = function (name) { return form.querySelector("[data-eye-" + name + "]"); };
    const eye = { form: form, crop: crop, shown: find("shown"), photo: find("photo"), clear: find("clear"), how: find("how"), said: find("said"), turn: 0, invert: false, stronger: false, cutting: Promise.resolve() };
    eyes.set(form, eye);
    fingers(eye);
    const file = find("file");
    file.addEventListener("change", function () { if (file.files.length) { look(form, file.files[0]); } });
    if (file.files.length) { look(form, file.files[0]); }
    form.addEventListener("click", function (event) {
      const button = event.target.closest("[data-eye-do]"), asking = event.target.closest("[data-eye-ask]");
      if (button && eye.source) { DO[button.dataset.eyeDo](eye, button); }
      if (asking && eye.source) { ask(eye, asking); }
    });
    form.addEventListener("submit", function (event) {
      if (!eye.source || eye.ready) { return; }
      // The frame may have moved a moment ago: it is cut out first, then the form goes.
      event.preventDefault();
      event.stopPropagation();
      const by = event.submitter;
      clearTimeout(eye.later);
      cut(eye).finally(function () {
        // The whole photo stays on the tablet where its framed part goes.
        file.disabled = crop.files.length > 0;
        eye.ready = true;
        form.requestSubmit(by && by.form === form ? by : null);
      });
    });
  }

  function wake(root) { for (const form of root.querySelectorAll("form[data-eye]")) { wakeForm(form); } }
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
  window.addEventListener("pageshow", function (event) {
    if (!event.persisted) { return; }
    for (const form of document.querySelectorAll("form[data-eye]")) { form.querySelector("[data-eye-file]").disabled = false; eyes.get(form).ready = false; }
  });
})();
