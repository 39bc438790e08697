"""A sheet's lines and words drawn with the bare libraries, as a short script does it: the floor of a warm drawing."""

import io

from jigs.drawing import lettering
from jigs.drawing.arcs import arc_of, beziers
from jigs.drawing.items import STYLES, Circle, Layer, Line, Text
from jigs.export.pdf import POINTS_PER_MM


def primitives(sheet):
    """Plain tuples, in the order in which they are drawn: kind, style, numbers or words."""
    found = []
    for layer in Layer:
        for item in sheet.drawing:
            style = STYLES[item.role]
            if style.layer is not layer:
                continue
            if isinstance(item, Text):
                found.append(
                    ("text", item.anchor.value, item.at, item.text, lettering.em_mm(item.height_mm), item.angle_deg)
                )
            elif isinstance(item, Line):
                found.append(("line", style, item.start, item.end))
            elif isinstance(item, Circle):
                found.append(("circle", style, item.centre, item.radius))
            else:
                found.append(
                    ("path", style, item.closed, [(run[0], p) for run, p in zip(item.runs, item.pieces(), strict=True)])
                )
    return found


def pdf(drawn, width, height):  # noqa: PLR0912 - a case for each primitive
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfgen.canvas import Canvas

    pt = POINTS_PER_MM
    file = io.BytesIO()
    pdfmetrics.registerFont(lettering.face())
    canvas = Canvas(file, pageCompression=0, invariant=1, initialFontName=lettering.FONT_NAME)
    canvas.setPageSize((width * pt, height * pt))
    for kind, *rest in drawn:
        if kind == "text":
            anchor, (x, y), words, size, angle = rest
            canvas.setFont(lettering.FONT_NAME, size * pt)
            draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[
                anchor
            ]
            if angle:
                canvas.saveState()
                canvas.translate(x * pt, (height - y) * pt)
                canvas.rotate(-angle)
                draw(0, 0, words)
                canvas.restoreState()
            else:
                draw(x * pt, (height - y) * pt, words)
            continue
        style, *where = rest
        canvas.setLineWidth(style.width_mm * pt)
        canvas.setDash([dash * pt for dash in style.dashes_mm])
        if kind == "line":
            (x1, y1), (x2, y2) = where
            canvas.line(x1 * pt, (height - y1) * pt, x2 * pt, (height - y2) * pt)
        elif kind == "circle":
            (x, y), radius = where
            canvas.circle(x * pt, (height - y) * pt, radius * pt)
        else:
            closed, runs = where
            path = canvas.beginPath()
            for (x, y), pieces in runs:
                path.moveTo(x * pt, (height - y) * pt)
                for start, end, bulge in pieces:
                    if bulge:
                        for curve in beziers(start, end, bulge):
                            path.curveTo(*(number for x, y in curve for number in (x * pt, (height - y) * pt)))
                    else:
                        path.lineTo(end[0] * pt, (height - end[1]) * pt)
                if closed:
                    path.close()
            canvas.drawPath(path, stroke=0 if style.fill else 1, fill=1 if style.fill else 0)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def svg(drawn, width, height):
    import svgwrite

    made = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    for kind, *rest in drawn:
        if kind == "text":
            anchor, at, words, size, angle = rest
            turned = {"transform": f"rotate({angle:.6f} {at[0]:.6f} {at[1]:.6f})"} if angle else {}
            at = (f"{at[0]:.6f}", f"{at[1]:.6f}")
            made.add(made.text(words, insert=at, font_size=f"{size:.6f}", text_anchor=anchor, **turned))
            continue
        style, *where = rest
        pen = {"stroke": "black", "stroke_width": style.width_mm, "fill": style.fill or "none"}
        if style.dashes_mm:
            pen["stroke_dasharray"] = " ".join(map(str, style.dashes_mm))
        if kind == "line":
            start, end = ((f"{x:.6f}", f"{y:.6f}") for x, y in where)
            made.add(made.line(start, end, **pen))
        elif kind == "circle":
            (x, y), radius = where
            made.add(made.circle((f"{x:.6f}", f"{y:.6f}"), f"{radius:.6f}", **pen))
        else:
            closed, runs = where
            steps = []
            for (x, y), pieces in runs:
                steps.append(f"M {x:.6f} {y:.6f}")
                for start, end, bulge in pieces:
                    if bulge:
                        radius = arc_of(start, end, bulge).radius
                        large, sweep = int(abs(bulge) > 1), int(bulge > 0)
                        steps.append(f"A {radius:.6f} {radius:.6f} 0 {large} {sweep} {end[0]:.6f} {end[1]:.6f}")
                    else:
                        steps.append(f"L {end[0]:.6f} {end[1]:.6f}")
                if closed:
                    steps.append("Z")
            made.add(made.path(d=" ".join(steps), **pen))
    return made.tostring().encode()
