// A collector that takes whatever it is sent over gRPC, and prints it: node collector.js
// Output: "listening PORT", then for each call a line: its path, and the message in base64.
"use strict";
const server = require("node:http2").createServer();
server.on("stream", (stream, headers) => {
  const parts = [];
  stream.on("data", (part) => parts.push(part));
  stream.on("end", () => {
    // A message stands behind a byte (0: not compressed) and its length in four.
    const body = Buffer.concat(parts);
    console.log(`${headers[":path"]} ${body.subarray(5, 5 + body.readUInt32BE(1)).toString("base64")}`);
    // The answer is an empty message.
    stream.respond({ ":status": 200, "content-type": "application/grpc" }, { waitForTrailers: true });
    stream.on("wantTrailers", () => stream.sendTrailers({ "grpc-status": "0" }));
    stream.end(Buffer.alloc(5));
  });
});
server.listen(0, "127.0.0.1", () => console.log(`listening ${server.address().port}`));
