/** Runs beside the sound: hands its samples to the page in blocks, each with its place in time. */

const BLOCK = 2048;

class Hears extends AudioWorkletProcessor {
  block = new Float32Array(BLOCK);
  filled = 0;
  next = 0;

  /** @param {Float32Array[][]} inputs */
  process([channels]) {
    const samples = channels[0];
    if (!samples) return true;
    // A gap parts what is before it from what is after it: the page goes by the places of the blocks.
    if (currentFrame !== this.next || this.filled + samples.length > BLOCK) this.hand();
    this.block.set(samples, this.filled);
    this.filled += samples.length;
    this.next = currentFrame + samples.length;
    return true;
  }

  hand() {
    if (this.filled) this.port.postMessage({ at: this.next - this.filled, samples: this.block.slice(0, this.filled) });
    this.filled = 0;
  }
}

registerProcessor("hears", Hears);
