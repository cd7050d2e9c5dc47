/**
 * Every place where something is encrypted with the identity key. A rotation goes through this list, and refuses to begin
 * while a table of the database has a column `key_version` and is not on it: what it left out could not be read any more.
 */
export interface EncryptedTable {
  readonly table: string;
  /** The column of the row's identifier, which the encryption binds a value to. */
  readonly id: string;
  /** Columns of encrypted values, each with the place that it is bound to. */
  readonly columns: Readonly<Record<string, { readonly table: string; readonly field: string }>>;
}

export const encryptedTables: readonly EncryptedTable[] = [
  {
    table: "identity",
    id: "volunteer_id",
    columns: {
      name_cipher: { table: "identity", field: "name" },
      contact_cipher: { table: "identity", field: "contact" },
      date_of_birth_cipher: { table: "identity", field: "dateOfBirth" },
    },
  },
  {
    table: "signed_name",
    id: "consent_record_id",
    // The name of the place is from before it had a table of its own.
    columns: { name_cipher: { table: "consent_record", field: "name_as_signed" } },
  },
  {
    table: "signed_paper",
    id: "id",
    // The key of the blob; the blob itself stays as it is.
    columns: { key_cipher: { table: "signed_paper", field: "key" } },
  },
  {
    table: "screening_record",
    id: "id",
    columns: { answers_cipher: { table: "screening_record", field: "answers" } },
  },
  {
    table: "screening_clearance",
    id: "id",
    columns: { professional_cipher: { table: "screening_clearance", field: "professional" } },
  },
];

/** Hashes under a key that follows from the identity key; made anew from what is encrypted. */
export const hashedTable = "identity_search_hash";
