// The crack of bat on ball: made up, and the same for every hit. It tells when, not how hard.

const LENGTH = 0.1 // s
const CLICK = { size: 0.5, fades: 0.006 } // of the ball: noise; s to fall to a third
const RING = { size: 0.35, fades: 0.018, pitch: 1150 } // of the bat; Hz

let context = null

// Browsers let a page make a sound only after the viewer asked for it: to be called from a click.
export function prepare() {
  context ??= new AudioContext()
  context.resume()
}

export function crack() {
  const { sampleRate: rate } = context
  const buffer = context.createBuffer(1, Math.round(LENGTH * rate), rate), values = buffer.getChannelData(0)
  for (let i = 0; i < values.length; i++) {
    const t = i / rate
    values[i] = CLICK.size * (2 * Math.random() - 1) * Math.exp(-t / CLICK.fades)
      + RING.size * Math.sin(2 * Math.PI * RING.pitch * t) * Math.exp(-t / RING.fades)
  }
  const source = new AudioBufferSourceNode(context, { buffer })
  source.connect(context.destination)
  source.start()
}
