// Keys of a keyboard: what they open stands in the list that the program's own page of keys says.
// None acts while somebody types, nor with Ctrl, Alt or Meta; all are switched off by one box.
(() => {
  const list = document.currentScript.dataset.keys, OFF = 'keys-off', FIRST = ['g', 'n'], WAIT = 1500
  let begun = '', since = 0, known = null, dialog = null
  const isOff = () => { try { return localStorage.getItem(OFF) === '1' } catch { return false } }
  const types = one => one.closest('input:not([type=checkbox]):not([type=radio]), select, textarea, [contenteditable]')

  async function read() {
    if (known) return known
    const answer = await fetch(list, { headers: { 'X-Requested-With': 'keys' }, credentials: 'same-origin' })
    if (!answer.ok || answer.redirected) throw new Error('no list')
    known = document.createElement('div')
    known.innerHTML = await answer.text()
    return known
  }

  function choose(part) {
    const field = part.querySelector('[data-keys-choice]'), box = field?.querySelector('input')
    if (!field) return
    field.hidden = false
    box.checked = !isOff()
    box.addEventListener('change', () => { try { localStorage.setItem(OFF, box.checked ? '' : '1') } catch { /* nothing is kept */ } })
  }

  async function show() {
    if (dialog?.open) return
    const part = (await read()).cloneNode(true)
    dialog?.remove()
    dialog = document.createElement('dialog')
    dialog.className = 'keys-list'
    dialog.setAttribute('aria-label', part.querySelector('[data-key="?"]').textContent)
    dialog.append(part)
    document.body.append(dialog)
    choose(part)
    const close = part.querySelector('[data-keys-close]')
    close.hidden = false
    close.firstElementChild.addEventListener('click', () => dialog.close())
    dialog.showModal()
  }

  async function open(key) {
    const link = [...(await read()).querySelectorAll('[data-key]')].find(one => one.dataset.key === key)
    if (link) location.assign(link.href)
  }

  document.addEventListener('keydown', event => {
    if (isOff() || event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return
    if (types(event.target) || document.querySelector('dialog[open]')) return
    const key = event.key, before = Date.now() - since < WAIT ? begun : ''
    begun = ''
    if (before) { event.preventDefault(); open(`${before} ${key}`).catch(() => location.assign(list)) }
    else if (FIRST.includes(key)) { begun = key; since = Date.now(); read().catch(() => {}) }
    else if (key === '?') { event.preventDefault(); show().catch(() => location.assign(list)) }
    else if (key === '/') {
      event.preventDefault()
      const field = [...document.querySelectorAll('#search, #find')].find(one => one.offsetParent)
      field ? field.focus() : open('/').catch(() => location.assign(list))
    }
  })

  const page = document.querySelector('[data-keys-page]')
  if (page) choose(page)
  const add = document.querySelector('details.add')
  document.addEventListener('click', event => { if (add?.open && !add.contains(event.target)) add.open = false })
  add?.addEventListener('keydown', event => {
    if (event.key === 'Escape' && add.open) { add.open = false; add.querySelector('summary').focus() }
  })
})()
