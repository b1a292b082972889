// Hands on what the microphone hears, piece by piece; runs apart from the page.
class PluckEar extends AudioWorkletProcessor {
  process(inputs) {
    if (inputs[0].length) { this.port.postMessage(inputs[0][0].slice()); }
    return true;
  }
}
registerProcessor("pluck-ear", PluckEar);
