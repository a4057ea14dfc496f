// What the scripts say, in the language of the page: the document's head holds the messages of the catalogue
// (apps/frame.py), English stands in the code. Messages are literals, so that the catalogue can be made from them.

const words = window.plane3dWords ?? {}

const filled = (said, values) => said.replace(/\{(\w+)\}/g, (place, name) => values[name] ?? place)

// A message, with values put in the places it names in braces.
export const tr = (message, values = {}) => filled(words[message] ?? message, values)

// The same for a message that another language says in more than one way; the context tells which is meant.
export const trc = (context, message, values = {}) => filled(words[`${context}|${message}`] ?? message, values)
