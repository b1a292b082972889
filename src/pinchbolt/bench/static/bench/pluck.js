// A plucked spoke by the tablet's own microphone, where the page is secure: two seconds of plain sound as a WAV file, sent like any other.
(function () {
  "use strict";

  const SECONDS = 2;

  function canListen() { return window.isSecureContext && navigator.mediaDevices && window.AudioWorkletNode && window.DataTransfer; }

  function wave(pieces, rate) {
    const long = pieces.reduce(function (sum, piece) { return sum + piece.length; }, 0);
    const view = new DataView(new ArrayBuffer(44 + 2 * long));
    const words = function (at, text) { for (let i = 0; i < text.length; i += 1) { view.setUint8(at + i, text.charCodeAt(i)); } };
    words(0, "RIFF"); view.setUint32(4, 36 + 2 * long, true); words(8, "WAVEfmt "); view.setUint32(16, 16, true);
    view.setUint16(20, 1, true); view.setUint16(22, 1, true); view.setUint32(24, rate, true); view.setUint32(28, 2 * rate, true);
    view.setUint16(32, 2, true); view.setUint16(34, 16, true); words(36, "data"); view.setUint32(40, 2 * long, true);
    let at = 44;
    for (const piece of pieces) {
      for (const one of piece) { view.setInt16(at, Math.max(-1, Math.min(1, one)) * 32767, true); at += 2; }
    }
    return new Blob([view], { type: "audio/wav" });
  }

  async function listen(form, said) {
    // What makes a voice pleasant bends a spoke's tone.
    const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
    const stream = await navigator.mediaDevices.getUserMedia({ audio: plain });
    const context = new AudioContext();
    try {
      await context.audioWorklet.addModule(form.dataset.pluckEar);
      const ear = new AudioWorkletNode(context, "pluck-ear");
      const pieces = [];
      ear.port.onmessage = function (message) { pieces.push(message.data); };
      context.createMediaStreamSource(stream).connect(ear);
      said.textContent = worded("pluck now");
      await new Promise(function (done) { setTimeout(done, 1000 * SECONDS); });
      ear.disconnect();
      const files = new DataTransfer();
      files.items.add(new File([wave(pieces, context.sampleRate)], "spoke-" + form.elements.first.value + ".wav", { type: "audio/wav" }));
      form.elements.sounds.files = files.files;
    } finally {
      stream.getTracks().forEach(function (track) { track.stop(); });
      context.close();
    }
    said.textContent = worded("heard, sending");
    form.requestSubmit();
  }

  function wake(root) {
    for (const form of root.querySelectorAll("[data-pluck]")) {
      if (!canListen()) { continue; }
      form.querySelector("[data-listen]").hidden = false;
      form.querySelector("[data-no-microphone]").hidden = true;
    }
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-listen-button]");
    if (!button || button.disabled) { return; }
    const form = button.form, said = form.querySelector("[data-listen-said]");
    button.disabled = true;
    listen(form, said).catch(function () {
      button.disabled = false;
      said.textContent = worded("The microphone was not let in: allow it for this page, or choose WAV files.");
    });
  });
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
})();
