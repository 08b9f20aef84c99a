// What the workers find in their global scope beside the platform's own.

// core-worker.js: of wasm_exec.js, and of the core.
declare class Go {
  importObject: WebAssembly.Imports;
  run(instance: WebAssembly.Instance): Promise<void>;
}
declare var coldbatchReady: (ready?: unknown) => void;
declare var coldbatchCall: (name: string, body: string, bytes?: Uint8Array) => string | { text: string; bytes: Uint8Array };

// scan-worker.js: of the files that it imports.
declare const ZXingWASM: {
  prepareZXingModule(how: { overrides: { locateFile(file: string): string } }): void;
  readBarcodes: (picture: ImageData, options: object) => Promise<object[]>;
};

// sw.js: what the hub puts in front of it.
declare const VERSION: string;
declare const ASSETS: Record<string, string>;
declare const GROUPS: Record<string, Record<string, string>>;
