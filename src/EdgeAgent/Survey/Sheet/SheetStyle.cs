namespace Dancerwatch.EdgeAgent.Survey.Sheet;

/// <summary>How the sheet looks: black on white, three greys, one A4 page.</summary>
internal static class SheetStyle
{
    public const string Css = """

        @page { size: A4; margin: 0 }
        * { box-sizing: border-box; margin: 0; padding: 0 }
        html { background: #e4e4e2 }
        body { width: 210mm; height: 297mm; margin: 6mm auto; padding: 13mm 14mm 11mm; background: #fff; color: #111;
          font: 8.6pt/1.32 "Liberation Sans", Arial, Helvetica, sans-serif; display: flex; flex-direction: column; gap: 5mm;
          -webkit-print-color-adjust: exact; print-color-adjust: exact }
        @media print { html { background: #fff } body { margin: 0 } }
        header { display: flex; justify-content: space-between; align-items: flex-end; gap: 10mm;
          border-bottom: 1.2mm solid #111; padding-bottom: 3mm }
        h1 { font-size: 26pt; line-height: 1; letter-spacing: -0.5pt; overflow-wrap: anywhere }
        .long { font-size: 15pt; letter-spacing: 0 }
        header p { margin-top: 1.5mm; color: #444 }
        .kind { text-align: right; max-width: 100mm }
        .kind strong { font-size: 13pt }
        main { display: grid; grid-template-columns: 84mm 1fr; gap: 8mm }
        h2 { font-size: 9.5pt; margin: 0 0 1.2mm; padding-top: 1mm; border-top: 0.35mm solid #111 }
        .pictures h2:not(:first-child) { margin-top: 3.5mm }
        table { border-collapse: collapse; width: 100% }
        .numbers th { text-align: left; font-size: 9.5pt; padding: 1mm 0 0.6mm; border-top: 0.35mm solid #111 }
        .numbers tbody:not(:first-child) th { padding-top: 1mm }
        .numbers tbody::after { content: ""; display: block; height: 2.2mm }
        .numbers td { padding: 0.42mm 0; vertical-align: baseline; border-top: 0.15mm solid #ccc }
        .numbers td:last-child { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; padding-left: 3mm }
        small { color: #555; font-size: 7.4pt; margin-left: 1.6mm }
        svg { display: block; width: 100%; height: auto; font: 8.8px "Liberation Sans", Arial, Helvetica, sans-serif }
        .fill { font-size: 6.6pt; font-variant-numeric: tabular-nums }
        .fill th { text-align: left; font-weight: normal; color: #444; white-space: nowrap; padding-right: 1mm }
        .fill td { text-align: right; padding: 0.5mm 0 0.5mm 0.8mm }
        .fill tr + tr { border-top: 0.15mm solid #ccc }
        .missing { color: #444 }
        .findings { flex: 1 }
        ol { list-style: none }
        li { display: flex; gap: 3mm; padding: 1mm 0; border-top: 0.15mm solid #ccc }
        li:first-child { border-top: 0 }
        li b { flex: 0 0 21mm; height: 4.4mm; display: flex; align-items: center; justify-content: center;
          font-size: 6.8pt; line-height: 1; letter-spacing: 0.3pt }
        .halt b { background: #111; color: #fff }
        .enter b { border: 0.4mm solid #111 }
        .look b { border: 0.3mm dashed #555 }
        .small .findings { font-size: 7.6pt; line-height: 1.25 }
        .tiny .findings { font-size: 7.1pt; line-height: 1.2 }
        .tiny li { padding: 0.5mm 0 }
        .tiny { gap: 2.5mm; padding-top: 9mm; padding-bottom: 7mm }
        .tiny .numbers td { padding: 0.1mm 0 }
        .tiny .numbers tbody::after { height: 1mm }
        .tiny .pictures h2:not(:first-child) { margin-top: 1.5mm }
        .tiny .sign span { margin-top: 4mm }
        footer p { color: #555; font-size: 6.8pt; line-height: 1.3; margin-top: 1.5mm }
        .sign { display: grid; grid-template-columns: 2fr 1fr 2fr; gap: 6mm; color: #444; font-size: 7.4pt }
        .sign span { border-top: 0.25mm solid #111; padding-top: 0.8mm; margin-top: 6mm }

        """;
}
