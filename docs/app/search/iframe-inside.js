// Runs in the hidden frame before the theme's search script, and makes the frame look like a worker.

const { owner } = /** @type {HTMLIFrameElement & {owner: {say: (data: unknown) => void}}} */ (window.frameElement);
window.postMessage = (/** @type {unknown} */ data) => owner.say(data);

export {};
