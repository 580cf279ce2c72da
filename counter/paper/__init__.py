"""The pattern sheet on paper: `document` says what stands on it, `page` sets it in type.

`written` puts it into a file, and the picture and the chart. Doors: `document.sheet`, then
`page.pdf` or `page.html`.
"""
