/** A recording as one film, in one file or in several that follow each other; all times are the recording's. */

/** @typedef {{media: string|null, mediaType: string|null, startTime: number, endTime: number|null, name: string}} Part */

export class Reel {
  /** @param {Part[]} parts in the order of time, at least one @param {HTMLMediaElement} player @param {(part: Part) => void} changed told when another part is in the player */
  constructor(parts, player, changed) {
    Object.assign(this, { parts, player, changed });
    /** which part is in the player */
    this.at = -1;
    /** where in a part that does not lie here we stand, s */
    this.still = 0;
  }

  get part() {
    return this.parts[this.at];
  }

  /** Whether the part in hand can be played. */
  get here() {
    return Boolean(this.part?.media);
  }

  get time() {
    return this.here ? this.part.startTime + this.player.currentTime : this.still;
  }

  set time(seconds) {
    const next = this.parts.findIndex((part) => part.startTime > seconds);
    this.turn(next < 0 ? this.parts.length - 1 : Math.max(0, next - 1));
    this.still = seconds;
    if (this.here) this.player.currentTime = Math.max(0, seconds - this.part.startTime);
  }

  /** Whether the part in hand has played past its end, and the recording has not. */
  get over() {
    if (!this.here || this.at === this.parts.length - 1) return false;
    return this.time >= this.part.endTime;
  }

  /** To the beginning of the part that follows. @returns {boolean} whether there is one that can be played */
  next() {
    if (this.at === this.parts.length - 1) return false;
    this.time = this.parts[this.at + 1].startTime;
    return this.here;
  }

  turn(n) {
    if (n === this.at) return;
    this.at = n;
    if (this.here) this.player.src = this.part.media;
    else {
      this.player.pause();
      this.player.removeAttribute("src");
      this.player.load();
    }
    this.changed(this.part);
  }
}
