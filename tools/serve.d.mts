import type { Server } from 'node:http';

export const policy: string;
export function serve(folder: string, port: number): Promise<{ server: Server; address: string }>;
