// Plots layers with gerber-parser and gerber-plotter: a line of JSON in (the text of a layer), a line of JSON
// out (the objects plotted, or what went wrong). One process serves all layers of a test run.
'use strict'

const path = require('path')
const readline = require('readline')

const modules = process.argv[2]
const gerberParser = require(path.join(modules, 'gerber-parser'))
const gerberPlotter = require(path.join(modules, 'gerber-plotter'))

function plotted(text, done) {
  const parser = gerberParser({ filetype: 'gerber' })
  const plotter = gerberPlotter()
  const objects = []
  const warnings = []
  const failed = (error) => done({ error: String(error) })
  process.removeAllListeners('uncaughtException').on('uncaughtException', failed) // it throws within its streams
  parser.on('warning', (warning) => warnings.push(warning.message))
  plotter.on('warning', (warning) => warnings.push(warning.message))
  parser.on('error', failed)
  plotter.on('error', failed)
  plotter.on('data', (object) => objects.push(object))
  plotter.on('end', () => done({ units: plotter.format.units, objects, warnings }))
  parser.pipe(plotter)
  parser.end(text)
}

const waiting = []
let busy = false

function next() {
  if (busy || waiting.length === 0) return
  busy = true
  plotted(JSON.parse(waiting.shift()), (answer) => {
    busy = false
    process.stdout.write(JSON.stringify(answer) + '\n')
    next()
  })
}

readline.createInterface({ input: process.stdin }).on('line', (line) => {
  waiting.push(line)
  next()
})
