"use client";

/** The last resort, when not even the outermost layout can be made. It stands without styles, scripts or providers. */
export default function GlobalError() {
  return (
    <html lang="en">
      <head>
        <title>Acral: not available</title>
      </head>
      <body
        style={{
          maxWidth: 560,
          margin: "64px auto",
          padding: "0 24px",
          font: "16px/1.5 system-ui, sans-serif",
        }}
      >
        <h1 style={{ fontSize: 24 }}>Acral cannot show anything at the moment</h1>
        <p>
          The server failed before it could make a page. What was saved before is still saved. Reload this
          page in a moment; if it stays, tell the person who runs this server.
        </p>
        <p>
          <a href="/studies">Try again</a>
        </p>
      </body>
    </html>
  );
}
